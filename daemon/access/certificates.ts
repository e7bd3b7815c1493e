/**
 * The boat's own certificate authority and the certificate of its page. The authority is installed
 * on the crew's phones once and lasts ten years; the page's certificate is made anew every year.
 * Times are UTC as the computer has it.
 */
import 'reflect-metadata';
import * as x509 from '@peculiar/x509';
import { webcrypto } from 'node:crypto';
import { isIP } from 'node:net';
import type { CertificateAndKey } from './tls-files.ts';
import { nameConstraintsOf } from './name-constraints.ts';

const P256 = { name: 'ECDSA', namedCurve: 'P-256', hash: 'SHA-256' } as const;
const DAY_MS = 24 * 3_600_000;
const AUTHORITY_DAYS = 3650;
/** Phones refuse a year and a month more than that (398 days), even from an authority of one's own. */
const PAGE_DAYS = 397;
/** Clocks of phones differ. */
const BEFORE_MS = DAY_MS;
const NAME_CONSTRAINTS = '2.5.29.30';
const SERVER_AUTHENTICATION = '1.3.6.1.5.5.7.3.1';

x509.cryptoProvider.set(webcrypto);

/** An authority for the boat's own networks and `names`; `boat` stands in its title. */
export async function newAuthority(
  boat: string,
  names: readonly string[],
  nowMs: number,
): Promise<CertificateAndKey> {
  const keys = await newKeys();
  const authority = await x509.X509CertificateGenerator.createSelfSigned({
    name: [{ CN: [`panelward ${boat}`.slice(0, 64)] }],
    ...lasting(nowMs, AUTHORITY_DAYS),
    signingAlgorithm: P256,
    keys,
    extensions: [
      new x509.BasicConstraintsExtension(true, 0, true),
      new x509.KeyUsagesExtension(
        x509.KeyUsageFlags.keyCertSign | x509.KeyUsageFlags.cRLSign,
        true,
      ),
      new x509.Extension(NAME_CONSTRAINTS, true, nameConstraintsOf(names)),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
    ],
  });
  return { cert: authority.toString('pem'), key: await pemOf(keys.privateKey) };
}

/** A certificate of the page for these names and addresses. */
export async function newPageCertificate(
  authority: CertificateAndKey,
  names: readonly string[],
  nowMs: number,
): Promise<CertificateAndKey> {
  const issuer = new x509.X509Certificate(authority.cert);
  const keys = await newKeys();
  const leaf = await x509.X509CertificateGenerator.create({
    // No name or address: OpenSSL would hold one here against the names that are permitted.
    subject: [{ CN: ['panelward page'] }],
    issuer: issuer.subject,
    ...lasting(nowMs, PAGE_DAYS),
    signingAlgorithm: P256,
    publicKey: keys.publicKey,
    signingKey: await signingKeyOf(authority.key),
    extensions: [
      new x509.BasicConstraintsExtension(false, undefined, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.digitalSignature, true),
      new x509.ExtendedKeyUsageExtension([SERVER_AUTHENTICATION]),
      new x509.SubjectAlternativeNameExtension(
        names.map((value) => ({ type: isIP(value) === 0 ? 'dns' : 'ip', value })),
      ),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
      await x509.AuthorityKeyIdentifierExtension.create(issuer),
    ],
  });
  return { cert: leaf.toString('pem'), key: await pemOf(keys.privateKey) };
}

function newKeys() {
  return webcrypto.subtle.generateKey(P256, true, ['sign', 'verify']);
}

function lasting(nowMs: number, days: number): { notBefore: Date; notAfter: Date } {
  const notBefore = new Date(nowMs - BEFORE_MS);
  return { notBefore, notAfter: new Date(notBefore.getTime() + days * DAY_MS) };
}

async function pemOf(key: webcrypto.CryptoKey): Promise<string> {
  return x509.PemConverter.encode(await webcrypto.subtle.exportKey('pkcs8', key), 'PRIVATE KEY');
}

function signingKeyOf(pem: string): Promise<webcrypto.CryptoKey> {
  const [bytes] = x509.PemConverter.decode(pem);
  if (bytes === undefined) throw new Error('the key of the authority is not valid PEM');
  return webcrypto.subtle.importKey('pkcs8', bytes, P256, false, ['sign']);
}
