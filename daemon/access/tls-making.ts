/** Makes the certificates of the page; see certificates.ts. Only the command line loads this. */
import { readFileSync } from 'node:fs';
import { isIP } from 'node:net';
import { join } from 'node:path';
import { newAuthority, newPageCertificate } from './certificates.ts';
import { isPermitted } from './name-constraints.ts';
import {
  AUTHORITY,
  type CertificateAndKey,
  FOLDER,
  NAMES,
  PAGE,
  pairIn,
  readPair,
  writeOwn,
  writePair,
} from './tls-files.ts';

export interface TlsMade {
  /** To be installed on the crew's phones. */
  authorityFile: string;
  authorityFingerprint: string;
  /** False: the phones that know the authority already need nothing. */
  isAuthorityNew: boolean;
  fingerprint: string;
  names: readonly string[];
  endsAtMs: number;
}

/**
 * Makes the page's certificate for these names, and the host names that were given before, by the
 * authority that is there; makes that too if there is none, or `isAnew`.
 */
export async function makeTls(
  folder: string,
  {
    boat,
    names: given,
    nowMs,
    isAnew = false,
  }: { boat: string; names: readonly string[]; nowMs: number; isAnew?: boolean },
): Promise<TlsMade | { problem: string }> {
  const kept = isAnew ? null : pairIn(folder, AUTHORITY);
  const unusable = kept === null ? null : problemOf(kept);
  if (unusable !== null) return unusable;
  const keptNames = kept === null ? [] : readNames(folder);
  const names = [...new Set([...given, ...keptNames.filter((name) => isIP(name) === 0)])];
  const refused = kept === null ? [] : names.filter((name) => !isPermitted(name, keptNames));
  if (refused.length > 0) {
    return {
      problem:
        `The boat's authority may not vouch for ${refused.join(', ')}: it was made for her own networks. ` +
        'Make a new one with --anew, and install that on the phones again.',
    };
  }
  const authority = kept ?? (await newAuthority(boat, names, nowMs));
  const page = await newPageCertificate(authority, names, nowMs);
  if (kept === null) {
    writePair(folder, AUTHORITY, authority);
    writeOwn(join(folder, FOLDER, NAMES), JSON.stringify(names));
  }
  writePair(folder, PAGE, page);
  const [ofPage, ofAuthority] = [readPair(page), readPair(authority)];
  if ('problem' in ofPage) return ofPage;
  if ('problem' in ofAuthority) return ofAuthority;
  return {
    authorityFile: join(folder, FOLDER, AUTHORITY.cert),
    authorityFingerprint: ofAuthority.fingerprint,
    isAuthorityNew: kept === null,
    fingerprint: ofPage.fingerprint,
    names,
    endsAtMs: ofPage.endsAtMs,
  };
}

function problemOf(authority: CertificateAndKey): { problem: string } | null {
  const read = readPair(authority);
  if (!('problem' in read)) return null;
  return {
    problem: `The boat's authority cannot be used: ${read.problem}. Make a new one with --anew.`,
  };
}

function readNames(folder: string): string[] {
  try {
    const read: unknown = JSON.parse(readFileSync(join(folder, FOLDER, NAMES), 'utf8'));
    return Array.isArray(read) ? read.map(String) : [];
  } catch {
    return [];
  }
}
