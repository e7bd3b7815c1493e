/**
 * Follows the framing of an MQTT byte stream and lets only packets of bearable size through, so
 * that no parser ever starts to gather the bytes of a larger one. MQTT 3.1.1 section 2.2: a type
 * byte, then "remaining length" in one to four bytes of seven bits each, least significant first.
 */
export interface PacketFilter {
  /** The bytes that may pass. Those of a packet that is too large are left out. */
  pass(chunk: Buffer): Buffer[];
}

/**
 * `onOversize` is called once for each packet that is too large, with its announced size, before
 * its body has arrived. `mostBytes` counts the remaining length: topic, packet id and payload.
 */
export function createPacketFilter(
  mostBytes: number,
  onOversize: (announcedBytes: number) => void,
): PacketFilter {
  /** Bytes of a fixed header that is not complete yet. */
  let header: number[] = [];
  let bodyLeft = 0;
  let isDropping = false;

  const takeHeaderByte = (byte: number): Buffer | undefined => {
    header.push(byte);
    const lengthBytes = header.slice(1);
    const isComplete = lengthBytes.length > 0 && (byte < 0x80 || lengthBytes.length === 4);
    if (!isComplete) return undefined;
    // A fourth byte that still says "more follows" is malformed; the parser behind refuses it.
    bodyLeft = lengthBytes.reduce((sum, part, at) => sum + (part & 0x7f) * 128 ** at, 0);
    isDropping = bodyLeft > mostBytes;
    const whole = Buffer.from(header);
    header = [];
    if (!isDropping) return whole;
    onOversize(bodyLeft);
    return undefined;
  };

  return {
    pass(chunk) {
      const kept: Buffer[] = [];
      for (let at = 0; at < chunk.length;) {
        if (bodyLeft > 0) {
          const body = chunk.subarray(at, at + bodyLeft);
          if (!isDropping) kept.push(body);
          bodyLeft -= body.length;
          at += body.length;
        } else {
          const whole = takeHeaderByte(chunk[at] ?? 0);
          if (whole) kept.push(whole);
          at += 1;
        }
      }
      return kept;
    },
  };
}
