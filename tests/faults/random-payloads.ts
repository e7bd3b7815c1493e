/** Payloads that no sensor should send, from a seed: good ones with bytes changed, and plain rubbish. */

/** Numbers in 0..1 from a seed: mulberry32, public domain. */
export function seeded(seed: number): () => number {
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** What a mutation likes to put in: whatever numbers, JSON and JavaScript are touchy about. */
const SPICES = [
  '1e999',
  '-1e999',
  '1e308',
  '-0',
  'NaN',
  'Infinity',
  'null',
  'true',
  '9007199254740993',
  '12,5',
  '"',
  '{',
  '[[[[[[[[',
  '"__proto__":{"v":1e999},',
  '"constructor":{"prototype":{"v":7}},',
  '\u0000',
  '\u{FEFF}',
  '\uD800',
  '-',
  '.',
  'e5',
  '\\u0000',
].map((text) => Buffer.from(text));

/** A payload made from one of `good`; `random` gives numbers in 0..1. */
export function randomPayload(random: () => number, good: readonly Buffer[]): Buffer {
  const below = (most: number): number => Math.floor(random() * most);
  const kind = random();
  if (kind < 0.1) return Buffer.from(Array.from({ length: below(40) }, () => below(256)));
  if (kind < 0.2) return Buffer.from(String((random() - 0.5) * 10 ** below(320)));
  let bytes = good[below(good.length)] ?? Buffer.alloc(0);
  for (let edits = 1 + below(3); edits > 0; edits -= 1) {
    const at = below(bytes.length + 1);
    const spice = SPICES[below(SPICES.length)] ?? Buffer.alloc(0);
    const put = random() < 0.5 ? spice : Buffer.from([below(256)]);
    bytes = Buffer.concat([bytes.subarray(0, at), put, bytes.subarray(at + below(4))]);
  }
  return bytes;
}
