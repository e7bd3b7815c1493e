/**
 * A checksum behind every blob: SQLite checks the structure of its pages but not what is in them,
 * so a bit that a card has turned would otherwise become a reading. The checksum also covers the
 * row's key, so that a blob in another row's place is noticed. CRC-32 as in zlib (ISO-HDLC).
 */
import { crc32 } from 'node:zlib';
import { DamagedBytes } from './bytes.ts';

const CHECKSUM_BYTES = 4;

export function sealed(body: Uint8Array, key: number): Buffer {
  const bytes = Buffer.allocUnsafe(body.length + CHECKSUM_BYTES);
  bytes.set(body);
  bytes.writeUInt32LE(crc32(body, key % 2 ** 32), body.length);
  return bytes;
}

/** The body; a view. Throws DamagedBytes where the checksum does not match. */
export function unsealed(bytes: Uint8Array, key: number): Uint8Array {
  const length = bytes.length - CHECKSUM_BYTES;
  if (length < 0) throw new DamagedBytes('there is no checksum');
  const body = bytes.subarray(0, length);
  const found = new DataView(bytes.buffer, bytes.byteOffset).getUint32(length, true);
  if (crc32(body, key % 2 ** 32) !== found) throw new DamagedBytes('the checksum does not match');
  return body;
}
