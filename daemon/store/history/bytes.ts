/**
 * Numbers and texts to bytes and back. Integers take as many bytes as they need, seven bits in each
 * (LEB128); signed ones are folded first so that small ones of either sign stay small. What is read
 * never goes beyond the bytes there are: damaged bytes throw `DamagedBytes`, nothing else.
 */

/** Bytes that were not written by us, or have changed since. */
export class DamagedBytes extends Error {
  override readonly name = 'DamagedBytes';
}

/** 0, -1, 1, -2, ... to 0, 1, 2, 3, ... for whole numbers up to 2^52. */
export function folded(signed: number): number {
  return signed >= 0 ? signed * 2 : signed * -2 - 1;
}

export function unfolded(unsigned: number): number {
  const half = Math.floor(unsigned / 2);
  return unsigned % 2 === 0 ? half : -half - 1;
}

/** Bytes that `ByteSink.unsigned` takes. */
export function unsignedLength(value: number): number {
  let length = 1;
  for (let rest = value; rest >= 128; rest = Math.floor(rest / 128)) length += 1;
  return length;
}

export class ByteSink {
  #bytes = new Uint8Array(256);
  #length = 0;

  get length(): number {
    return this.#length;
  }

  byte(value: number): void {
    this.#reserve(1);
    this.#bytes[this.#length++] = value;
  }

  /** A whole number from 0 to 2^53 - 1. */
  unsigned(value: number): void {
    this.#reserve(8);
    let rest = value;
    while (rest >= 128) {
      this.#bytes[this.#length++] = (rest % 128) + 128;
      rest = Math.floor(rest / 128);
    }
    this.#bytes[this.#length++] = rest;
  }

  /** A whole number from -2^52 to 2^52. */
  signed(value: number): void {
    this.unsigned(folded(value));
  }

  /** All 64 bits of a double. */
  double(value: number): void {
    this.#reserve(8);
    new DataView(this.#bytes.buffer).setFloat64(this.#length, value, true);
    this.#length += 8;
  }

  text(value: string): void {
    const bytes = Buffer.from(value, 'utf8');
    this.unsigned(bytes.length);
    this.bytes(bytes);
  }

  bytes(more: Uint8Array): void {
    this.#reserve(more.length);
    this.#bytes.set(more, this.#length);
    this.#length += more.length;
  }

  /** What was written; a copy. */
  taken(): Uint8Array {
    return this.#bytes.slice(0, this.#length);
  }

  #reserve(more: number): void {
    if (this.#length + more <= this.#bytes.length) return;
    const grown = new Uint8Array(Math.max(this.#bytes.length * 2, this.#length + more));
    grown.set(this.#bytes);
    this.#bytes = grown;
  }
}

export class ByteSource {
  readonly #bytes: Uint8Array;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  get isAtEnd(): boolean {
    return this.#at >= this.#bytes.length;
  }

  byte(): number {
    const value = this.#bytes[this.#at];
    if (value === undefined) throw new DamagedBytes('there are too few bytes');
    this.#at += 1;
    return value;
  }

  unsigned(): number {
    let value = 0;
    let scale = 1;
    for (;;) {
      const byte = this.byte();
      value += (byte & 127) * scale;
      if (byte < 128) break;
      scale *= 128;
      if (scale > 2 ** 49) throw new DamagedBytes('a number is too long');
    }
    return value;
  }

  signed(): number {
    return unfolded(this.unsigned());
  }

  double(): number {
    const { buffer, byteOffset } = this.bytes(8);
    return new DataView(buffer, byteOffset).getFloat64(0, true);
  }

  text(): string {
    const bytes = this.bytes(this.unsigned());
    return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).toString('utf8');
  }

  /** A view, not a copy. */
  bytes(length: number): Uint8Array {
    const end = this.#at + length;
    if (end > this.#bytes.length) throw new DamagedBytes('there are too few bytes');
    const view = this.#bytes.subarray(this.#at, end);
    this.#at = end;
    return view;
  }
}
