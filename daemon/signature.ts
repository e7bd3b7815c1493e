/**
 * Signs what leaves the boat with a secret that both ends know: HMAC-SHA256 (RFC 2104, FIPS 180-4)
 * over instant, a dot and the body. Whoever changes either, or signs without the secret, is refused.
 */
import { createHmac, timingSafeEqual } from 'node:crypto';

/** Headers that they travel in. The timestamp is UTC in ms. */
export const TIMESTAMP_HEADER = 'x-panelward-timestamp';
export const SIGNATURE_HEADER = 'x-panelward-signature';

const SCHEME = 'v1=';

/** Value of the signature header: `v1=` and 64 hexadecimal digits. */
export function signatureOf(secret: string, timestamp: string, body: string | Buffer): string {
  return SCHEME + digestOf(secret, timestamp, body).toString('hex');
}

/** Whether `signature` is that of this secret. Takes as long for a near miss as for any other. */
export function isSignedBy(
  secret: string,
  timestamp: string,
  body: string | Buffer,
  signature: string,
): boolean {
  if (!/^v1=[0-9a-f]{64}$/.test(signature)) return false;
  const given = Buffer.from(signature.slice(SCHEME.length), 'hex');
  return timingSafeEqual(given, digestOf(secret, timestamp, body));
}

/** Proof that the receiver knows the secret and has this very message: its answer to a signature. */
export function proofOf(secret: string, signature: string): string {
  return SCHEME + digestOf(secret, 'heard', signature).toString('hex');
}

function digestOf(secret: string, first: string, body: string | Buffer): Buffer {
  return createHmac('sha256', secret).update(`${first}.`).update(body).digest();
}
