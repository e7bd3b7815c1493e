/**
 * Follows the framing of an MQTT byte stream and lets only packets of bearable size through, so
 * that no parser ever starts to gather the bytes of a larger one. MQTT 3.1.1 section 2.2: a type
 * byte, then "remaining length" in one to four bytes of seven bits each, least significant first.
 */
export interface PacketFilter {
  /** The bytes that may pass, in as few pieces as can be. Those of a packet that is too large are left out. */
  pass(chunk: Buffer): Buffer[];
}

/** A type byte and four of remaining length. */
const LONGEST_HEADER = 5;

/**
 * `onOversize` is called once for each packet that is too large, with its announced size, before
 * its body has arrived. `mostBytes` counts the remaining length: topic, packet id and payload.
 */
export function createPacketFilter(
  mostBytes: number,
  onOversize: (announcedBytes: number) => void,
): PacketFilter {
  /** Bytes of a fixed header whose other bytes come with the next chunk. */
  let held: number[] = [];
  let headerBytes = 0;
  let announced = 0;
  let bodyLeft = 0;
  let isDropping = false;

  /** True when the header is complete. */
  const takeHeaderByte = (byte: number): boolean => {
    headerBytes += 1;
    if (headerBytes === 1) {
      announced = 0;
      return false;
    }
    announced += (byte & 0x7f) * 128 ** (headerBytes - 2);
    // A fourth byte that still says "more follows" is malformed; the parser behind refuses it.
    if (byte >= 0x80 && headerBytes < LONGEST_HEADER) return false;
    headerBytes = 0;
    return true;
  };

  return {
    pass(chunk) {
      const kept: Buffer[] = [];
      let at = 0;
      /** What lies from here to `at` passes: nearly always the whole chunk, in one piece. */
      let from = 0;
      const keepUpTo = (end: number): void => {
        if (end > from) kept.push(chunk.subarray(from, end));
      };
      while (at < chunk.length) {
        if (bodyLeft > 0) {
          const size = Math.min(bodyLeft, chunk.length - at);
          bodyLeft -= size;
          at += size;
          if (isDropping) from = at;
          continue;
        }
        const headerAt = at;
        let isComplete = false;
        while (!isComplete && at < chunk.length) isComplete = takeHeaderByte(chunk[at++] ?? 0);
        if (!isComplete) {
          keepUpTo(headerAt);
          held.push(...chunk.subarray(headerAt));
          return kept;
        }
        bodyLeft = announced;
        isDropping = announced > mostBytes;
        if (isDropping) {
          keepUpTo(headerAt);
          from = at;
          onOversize(announced);
        } else if (held.length > 0) {
          kept.push(Buffer.from(held));
        }
        held = [];
      }
      keepUpTo(at);
      return kept;
    },
  };
}
