/** The certificates of the page on the disk: made by `panelward tls`, read by the daemon. */
import { createPrivateKey, X509Certificate } from 'node:crypto';
import { chmodSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { isAbsolute, join } from 'node:path';

/** PEM texts. */
export interface CertificateAndKey {
  cert: string;
  key: string;
}

export const FOLDER = 'tls';
export const AUTHORITY = { cert: 'authority.crt', key: 'authority.key' };
export const PAGE = { cert: 'page.crt', key: 'page.key' };
const OWNER_ONLY = 0o600;
const FOLDER_OF_OWNER = 0o700;

/** For which names besides her own networks the authority was made. */
export const NAMES = 'authority-names.json';

export interface OpenedTls extends CertificateAndKey {
  endsAtMs: number;
  /** Not of `panelward tls`: one that browsers know by themselves. */
  isOwn: boolean;
}

/** The certificate that the settings name, else the boat's own; null: there is none. */
export function openTls(
  folder: string,
  own: { cert: string; key: string } | undefined,
): OpenedTls | { problem: string } | null {
  const within = (path: string): string => (isAbsolute(path) ? path : join(folder, path));
  const pair =
    own === undefined ? pairIn(folder, PAGE) : readFiles(within(own.cert), within(own.key));
  if (pair === null) {
    return own === undefined ? null : { problem: `${own.cert} or ${own.key} cannot be read` };
  }
  const read = readPair(pair);
  if ('problem' in read)
    return { problem: `${own?.cert ?? join(FOLDER, PAGE.cert)}: ${read.problem}` };
  return { ...pair, endsAtMs: read.endsAtMs, isOwn: own !== undefined };
}

export function pairIn(folder: string, { cert, key }: typeof PAGE): CertificateAndKey | null {
  return readFiles(join(folder, FOLDER, cert), join(folder, FOLDER, key));
}

function readFiles(cert: string, key: string): CertificateAndKey | null {
  try {
    return { cert: readFileSync(cert, 'utf8'), key: readFileSync(key, 'utf8') };
  } catch {
    return null;
  }
}

export function writePair(
  folder: string,
  names: typeof PAGE,
  { cert, key }: CertificateAndKey,
): void {
  writeOwn(join(folder, FOLDER, names.key), key);
  writeOwn(join(folder, FOLDER, names.cert), cert);
}

/** Whole or not at all, and for its owner only from the first byte on. */
export function writeOwn(path: string, text: string): void {
  mkdirSync(join(path, '..'), { recursive: true, mode: FOLDER_OF_OWNER });
  writeFileSync(`${path}.new`, text.endsWith('\n') ? text : `${text}\n`, { mode: OWNER_ONLY });
  chmodSync(`${path}.new`, OWNER_ONLY);
  renameSync(`${path}.new`, path);
}

/** What a certificate says of itself, or why it and its key cannot be used. */
export function readPair({
  cert,
  key,
}: CertificateAndKey):
  { endsAtMs: number; fingerprint: string; names: string[] } | { problem: string } {
  try {
    const read = new X509Certificate(cert);
    if (!read.checkPrivateKey(createPrivateKey(key))) {
      return { problem: 'the key is not that of the certificate' };
    }
    return {
      endsAtMs: Date.parse(read.validTo),
      fingerprint: read.fingerprint256,
      names: namesIn(read),
    };
  } catch {
    // What OpenSSL says of a bad key can quote it.
    return { problem: 'the certificate or the key is not valid PEM' };
  }
}

function namesIn({ subjectAltName }: X509Certificate): string[] {
  const parts = (subjectAltName ?? '')
    .split(', ')
    .map((part) => part.replace(/^(DNS|IP Address):/, ''));
  return parts.filter((part) => part !== '');
}
