/**
 * Passwords: what is taken as one, and how it is kept. Kept is a salted scrypt hash as a PHC string,
 * which names its own parameters; the password itself is used exactly as it was typed and nowhere
 * kept, logged or shortened.
 */
import { randomBytes, scrypt, timingSafeEqual } from 'node:crypto';
import { isCommonPassword } from './common-passwords.ts';

export interface ScryptCost {
  /** log2 of N. */
  ln: number;
  r: number;
  p: number;
}

/**
 * N = 2^15, r = 8, p = 3: one of the rows of equal strength of OWASP's Password Storage Cheat
 * Sheet, of which it takes the least memory that a Pi of 1 GB does not feel (32 MiB).
 */
export const SCRYPT_COST: ScryptCost = { ln: 15, r: 8, p: 3 };

export const SHORTEST_PASSWORD = 8;
export const LONGEST_PASSWORD = 128;

const SALT_BYTES = 16;
const HASH_BYTES = 32;
const MIB = 1024 * 1024;
/** What a PHC string may ask of this computer; ours never does, a file from elsewhere might. */
const MOST = { ln: 18, r: 16, p: 16 };

/**
 * Why it cannot be a password, in one sentence; null: it can. Length is in characters; there are no
 * rules of what it is made of, as OWASP ASVS 5.0 6.2.5 wants it. `name`: of whoever shall have it.
 */
export async function objectionToPassword(password: string, name: string): Promise<string | null> {
  const length = charactersIn(password);
  if (length < SHORTEST_PASSWORD) {
    return `A password has at least ${SHORTEST_PASSWORD} characters; a few words in a row are easy to keep in mind.`;
  }
  if (length > LONGEST_PASSWORD) return `A password has at most ${LONGEST_PASSWORD} characters.`;
  if (await isCommonPassword(password)) {
    return 'This is one of the passwords that are tried first everywhere. Choose another.';
  }
  if (password.trim().toLowerCase() === name.trim().toLowerCase()) {
    return 'The password must not be the name.';
  }
  return null;
}

/** A PHC string of a password, with a salt of its own. */
export async function hashOf(password: string, cost: ScryptCost): Promise<string> {
  const salt = randomBytes(SALT_BYTES);
  return phcOf(cost, salt, await derive(password, salt, cost, HASH_BYTES));
}

/** A PHC string that no password fits: what is compared with for somebody who is not there. */
export function hashOfNobody(cost: ScryptCost): string {
  return phcOf(cost, randomBytes(SALT_BYTES), randomBytes(HASH_BYTES));
}

export interface Verdict {
  isRight: boolean;
  /** It was hashed at another cost than is used now. */
  isOutdated: boolean;
}

/** Whether the password is that of the PHC string; a string that cannot be read fits none. */
export async function verify(password: string, phc: string, cost: ScryptCost): Promise<Verdict> {
  const kept = partsOf(phc);
  if (kept === null) return { isRight: false, isOutdated: false };
  const derived = await derive(password, kept.salt, kept.cost, kept.hash.length);
  const { ln, r, p } = kept.cost;
  return {
    isRight: timingSafeEqual(derived, kept.hash),
    isOutdated: ln !== cost.ln || r !== cost.r || p !== cost.p,
  };
}

/** Code points, which are nearest to what people call characters. */
function charactersIn(text: string): number {
  return Array.from(text).length;
}

const base64 = (bytes: Buffer): string => bytes.toString('base64').replaceAll('=', '');

function phcOf({ ln, r, p }: ScryptCost, salt: Buffer, hash: Buffer): string {
  return `$scrypt$ln=${ln},r=${r},p=${p}$${base64(salt)}$${base64(hash)}`;
}

function partsOf(phc: string): { cost: ScryptCost; salt: Buffer; hash: Buffer } | null {
  const match =
    /^\$scrypt\$ln=(\d{1,2}),r=(\d{1,2}),p=(\d{1,2})\$([A-Za-z0-9+/]{11,64})\$([A-Za-z0-9+/]{22,86})$/.exec(
      phc,
    );
  const [, ln, r, p, salt, hash] = match ?? [];
  if (salt === undefined || hash === undefined) return null;
  const cost = { ln: Number(ln), r: Number(r), p: Number(p) };
  const isDear = cost.ln > MOST.ln || cost.r > MOST.r || cost.p > MOST.p;
  if (isDear || cost.ln < 1 || cost.r < 1 || cost.p < 1) return null;
  return { cost, salt: Buffer.from(salt, 'base64'), hash: Buffer.from(hash, 'base64') };
}

function derive(
  password: string,
  salt: Buffer,
  { ln, r, p }: ScryptCost,
  length: number,
): Promise<Buffer> {
  const N = 2 ** ln;
  // Node's own bound of 32 MiB refuses even what OWASP asks for at least.
  const maxmem = 128 * N * r + 32 * MIB;
  return new Promise((resolve, reject) => {
    scrypt(password, salt, length, { N, r, p, maxmem }, (error, derived) => {
      if (error === null) resolve(derived);
      else reject(error);
    });
  });
}
