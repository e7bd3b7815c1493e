/**
 * Seeded random numbers: the same seed and names give the same numbers on every machine. Each part
 * of the simulator takes a stream of its own, so that one more kettle never changes the noise of
 * the next clamp.
 *
 * Generator: xoshiro128** (Blackman and Vigna, 2018, public domain). Streams are told apart by the
 * FNV-1a hash of their names.
 */

const UINT32 = 4_294_967_296;

const rotateLeft = (word: number, by: number): number =>
  ((word << by) | (word >>> (32 - by))) >>> 0;

/** 32-bit FNV-1a hash of the UTF-16 code units of `text`, low byte first where they need two. */
export function fnv1a(text: string): number {
  let hash = 0x811c9dc5;
  for (let at = 0; at < text.length; at += 1) {
    const unit = text.charCodeAt(at);
    hash = Math.imul(hash ^ (unit & 0xff), 0x01000193);
    if (unit > 0xff) hash = Math.imul(hash ^ (unit >>> 8), 0x01000193);
  }
  return hash >>> 0;
}

export class Random {
  #s0: number;
  #s1: number;
  #s2: number;
  #s3: number;
  #spareGaussian: number | null = null;

  /** The four 32-bit words of state; at least one must not be zero. */
  constructor(s0: number, s1: number, s2: number, s3: number) {
    [this.#s0, this.#s1, this.#s2, this.#s3] = [s0 >>> 0, s1 >>> 0, s2 >>> 0, s3 >>> 0];
    if ((this.#s0 | this.#s1 | this.#s2 | this.#s3) === 0) throw new Error('state is all zero');
  }

  /** Next 32 random bits as an unsigned integer. */
  bits(): number {
    const result = Math.imul(rotateLeft(Math.imul(this.#s1, 5) >>> 0, 7), 9) >>> 0;
    const shifted = (this.#s1 << 9) >>> 0;
    this.#s2 = (this.#s2 ^ this.#s0) >>> 0;
    this.#s3 = (this.#s3 ^ this.#s1) >>> 0;
    this.#s1 = (this.#s1 ^ this.#s2) >>> 0;
    this.#s0 = (this.#s0 ^ this.#s3) >>> 0;
    this.#s2 = (this.#s2 ^ shifted) >>> 0;
    this.#s3 = rotateLeft(this.#s3, 11);
    return result;
  }

  /** Uniform over 0 (included) to 1 (excluded). */
  unit(): number {
    return this.bits() / UINT32;
  }

  /** Uniform between `low` and `high`. */
  between(low: number, high: number): number {
    return low + (high - low) * this.unit();
  }

  /** True with the given probability, 0..1. */
  chance(probability: number): boolean {
    return this.unit() < probability;
  }

  /** Minus one or plus one, equally likely. */
  sign(): 1 | -1 {
    return this.chance(0.5) ? 1 : -1;
  }

  /** Standard normal deviate (mean 0, deviation 1), by the Box-Muller transform. */
  gaussian(): number {
    if (this.#spareGaussian !== null) {
      const spare = this.#spareGaussian;
      this.#spareGaussian = null;
      return spare;
    }
    const radius = Math.sqrt(-2 * Math.log(1 - this.unit()));
    const angle = 2 * Math.PI * this.unit();
    this.#spareGaussian = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  }

  /** Waiting time until the next event of a kind that comes once in `mean` on average. */
  exponential(mean: number): number {
    return -mean * Math.log(1 - this.unit());
  }
}

/** A stream of its own for these names, e.g. `createRandom(7, 'clamp', 'bow-l1-amps')`. */
export function createRandom(seed: number, ...names: readonly string[]): Random {
  const text = `${seed}/${names.join('/')}`;
  const [a, b, c] = ['a', 'b', 'c'].map((tail) => fnv1a(text + tail));
  const random = new Random(a ?? 0, b ?? 0, c ?? 0, 0x9e3779b9);
  // Hashes of like names differ in few bits: let the generator mix them before first use.
  for (let round = 0; round < 16; round += 1) random.bits();
  return random;
}
