/**
 * The number in a payload that is nothing but a short decimal, straight from its bytes: nearly all
 * sensors send such. Whole digits over a power of ten, both exact in a double, divide to the double
 * nearest to the decimal (IEEE 754-2019 section 4.3), which is what `Number` gives for the text.
 * Pure; never throws.
 */

/** So many digits are below 2^53, and 10^15 is exact too. */
const MOST_DIGITS = 15;
const MOST_BYTES = MOST_DIGITS + 2;
const TENS = Array.from({ length: MOST_DIGITS + 1 }, (_, places) => 10 ** places);
const ZERO = 0x30;

/** Null for everything else, numbers with blanks or an exponent too: the text says what that is. */
export function plainDecimal(bytes: Uint8Array): number | null {
  const { length } = bytes;
  const sign = bytes[0];
  const isSigned = sign === 0x2b || sign === 0x2d;
  const first = isSigned ? 1 : 0;
  if (length === first || length > MOST_BYTES) return null;
  let whole = 0;
  let pointAt = -1;
  for (let at = first; at < length; at += 1) {
    const byte = bytes[at] ?? 0;
    if (byte >= ZERO && byte <= 0x39) whole = whole * 10 + (byte - ZERO);
    else if (byte === 0x2e && pointAt < 0) pointAt = at;
    else return null;
  }
  const digits = length - first - (pointAt < 0 ? 0 : 1);
  if (digits === 0 || digits > MOST_DIGITS) return null;
  const value = pointAt < 0 ? whole : whole / (TENS[length - pointAt - 1] ?? 1);
  return sign === 0x2d ? -value : value;
}
