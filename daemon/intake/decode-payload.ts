/**
 * One MQTT message to the readings that the boat's points find in it. Pure; never throws, whatever
 * the bytes. A payload that serves many points is parsed once, and one point's trouble does not
 * cost the others their readings.
 */
import type { PointId } from '../../rules/index.ts';
import { findByPointer } from './json-pointer.ts';
import { measure, type Measured } from './measured-value.ts';
import { parseJson, readText } from './payload-text.ts';
import type { PlannedPoint } from './point-plan.ts';
import type { Refusal } from './refusals.ts';

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
  const planned = byTopic.get(topic);
  return planned
    ? decodePlanned(planned, payload)
    : { isMapped: false, readings: [], silences: [], refusals: [] };
}

/** `decodePayload` for the points of one topic. */
export function decodePlanned(planned: readonly PlannedPoint[], payload: Uint8Array): Decoded {
  const decoded: Decoded = { isMapped: true, readings: [], silences: [], refusals: [] };
  const read = readText(payload);
  if ('refusal' in read) {
    decoded.refusals.push(read.refusal);
    return decoded;
  }
  decodePlain(decoded, planned, read.text);
  decodeJson(decoded, planned, read.text);
  return decoded;
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
