/**
 * One MQTT message to the readings that the boat's points find in it. Pure; never throws, whatever
 * the bytes. A payload that serves many points is parsed once, and one point's trouble does not
 * cost the others their readings.
 */
import type { PointId } from '../../rules/index.ts';
import { findByPointer } from './json-pointer.ts';
import { measure, type Measured } from './measured-value.ts';
import type { PlannedPoint } from './point-plan.ts';
import type { Refusal } from './refusals.ts';

export const MOST_PAYLOAD_BYTES = 64 * 1024;
const DEEPEST_JSON = 32;

export interface Decoded {
  /** False: no point reads this topic. */
  isMapped: boolean;
  readings: { pointId: PointId; value: number | string }[];
  /** Points whose sensor says that it has no valid value. */
  silences: PointId[];
  refusals: Refusal[];
}

export function decodePayload(
  byTopic: ReadonlyMap<string, readonly PlannedPoint[]>,
  topic: string,
  payload: Uint8Array,
): Decoded {
  const decoded: Decoded = { isMapped: false, readings: [], silences: [], refusals: [] };
  const planned = byTopic.get(topic);
  if (!planned) return decoded;
  decoded.isMapped = true;
  const text = readText(payload);
  if (typeof text !== 'string') {
    decoded.refusals.push(text);
    return decoded;
  }
  decodePlain(decoded, planned, text);
  decodeJson(decoded, planned, text);
  return decoded;
}

function readText(payload: Uint8Array): string | Refusal {
  if (payload.byteLength > MOST_PAYLOAD_BYTES) {
    return { reason: 'payload too large', found: `${payload.byteLength} bytes` };
  }
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(payload).trim();
    return text === '' ? { reason: 'empty payload' } : text;
  } catch {
    return { reason: 'not UTF-8' };
  }
}

function decodePlain(decoded: Decoded, planned: readonly PlannedPoint[], text: string): void {
  for (const one of planned) {
    if (one.tokens !== null) continue;
    add(decoded, one, measure(one, text === 'null' ? null : text));
  }
}

function decodeJson(decoded: Decoded, planned: readonly PlannedPoint[], text: string): void {
  const pointed = planned.filter((one) => one.tokens !== null);
  if (pointed.length === 0) return;
  const parsed = parseJson(text);
  if ('refusal' in parsed) {
    decoded.refusals.push(parsed.refusal);
    return;
  }
  for (const one of pointed) {
    const raw = findByPointer(parsed.value, one.tokens ?? []);
    if (raw === undefined) {
      decoded.refusals.push({ reason: 'pointer finds nothing', pointId: one.point.id });
    } else {
      add(decoded, one, measure(one, raw));
    }
  }
}

/** JSON with its depth looked at first. Of a key given twice the last counts, as in `JSON.parse`. */
export function parseJson(text: string): { value: unknown } | { refusal: Refusal } {
  if (isTooDeep(text)) return { refusal: { reason: 'too deep' } };
  try {
    return { value: JSON.parse(text) as unknown };
  } catch {
    return { refusal: { reason: 'not JSON' } };
  }
}

/**
 * One pass over the text, whatever it holds. Brackets inside strings count for nothing; broken
 * JSON is left for the parser to refuse.
 */
function isTooDeep(text: string): boolean {
  let depth = 0;
  let isInString = false;
  for (let at = 0; at < text.length; at += 1) {
    const char = text[at];
    if (char === '"') isInString = !isInString;
    else if (isInString) at += char === '\\' ? 1 : 0;
    else if (char === '[' || char === '{') depth += 1;
    else if (char === ']' || char === '}') depth -= 1;
    if (depth > DEEPEST_JSON) return true;
  }
  return false;
}

function add(decoded: Decoded, { point }: PlannedPoint, measured: Measured): void {
  if (measured.kind === 'value') {
    decoded.readings.push({ pointId: point.id, value: measured.value });
  } else if (measured.kind === 'silence') {
    decoded.silences.push(point.id);
  } else {
    const { reason, found } = measured;
    decoded.refusals.push({ reason, pointId: point.id, found });
  }
}
