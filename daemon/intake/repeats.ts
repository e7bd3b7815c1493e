/** Knows a message that MQTT delivers once more. One of these for each topic of the boat file. */
import { MOST_PAYLOAD_BYTES } from './payload-text.ts';

/**
 * A message flagged DUP whose bytes equal the last ones on its topic, this recently, is the same
 * message again. Without the flag equal bytes are a steady sensor, and count as a fresh reading.
 */
const REPEAT_WITHIN_MS = 30_000;
/** Room to begin with; most payloads are shorter. */
const USUAL_BYTES = 16;

export class Repeats {
  /** The last payload that was not refused for its size; null: none yet. */
  #lastAtMs: number | null = null;
  #lastLength = 0;
  // Copied and not kept as it came: a payload is a piece of all that the socket had to give.
  #last = new Uint8Array(USUAL_BYTES);

  /** Whether this is the last message again; what it says is the last one from now on. */
  take(payload: Uint8Array, mayBeRepeat: boolean, atMs: number): boolean {
    const isRepeat = mayBeRepeat && this.#isLast(payload, atMs);
    if (payload.length <= MOST_PAYLOAD_BYTES) this.#keep(payload, atMs);
    return isRepeat;
  }

  #isLast(payload: Uint8Array, atMs: number): boolean {
    if (this.#lastAtMs === null || atMs - this.#lastAtMs > REPEAT_WITHIN_MS) return false;
    const last = this.#last.subarray(0, this.#lastLength);
    return last.length === payload.length && last.every((byte, at) => byte === payload[at]);
  }

  #keep(payload: Uint8Array, atMs: number): void {
    const { length } = payload;
    if (length > this.#last.length) this.#last = new Uint8Array(length);
    if (length > USUAL_BYTES) this.#last.set(payload);
    else for (let at = 0; at < length; at += 1) this.#last[at] = payload[at] ?? 0;
    this.#lastLength = length;
    this.#lastAtMs = atMs;
  }
}
