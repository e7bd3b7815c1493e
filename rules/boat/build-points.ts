/** Points of `boat.ts` from the boat file. */
import type { Boat, MarineDataAddress, MqttAddress, Part, Point } from './boat.ts';
import { isByLeg } from './check-points.ts';
import type { PointEntry } from './file-schema.ts';
import { given } from './records.ts';
import { usualRange } from './point-range.ts';
import { baseUnitOf } from './units.ts';

export function buildPoint(
  id: string,
  file: PointEntry,
  boat: Pick<Boat, 'ac' | 'dc' | 'parts'>,
): Point {
  const part = boat.parts.get(file.of);
  if (part === undefined) throw new Error(`point ${id} of a part that the checks let pass`);
  const range = usualRange(file.quantity, part, boat);
  return given({
    id,
    of: file.of,
    quantity: file.quantity,
    leg: isByLeg(file.quantity) ? (file.leg ?? onlyLegOf(part)) : undefined,
    address: addressOf(file),
    scale: file.scale ?? 1,
    offset: file.offset ?? 0,
    sign: file.sign ?? 1,
    unit: file.unit ?? usualUnit(file),
    words: file.words === undefined ? undefined : new Map(Object.entries(file.words)),
    expectedEveryMs: Math.round((file.everySeconds ?? 1) * 1000),
    min: file.min ?? range.min,
    max: file.max ?? range.max,
  });
}

/** Open marine data is in SI units throughout, so its temperatures are in kelvin. */
function usualUnit({ quantity, marineData }: PointEntry): string {
  return marineData !== undefined && quantity === 'celsius' ? 'K' : baseUnitOf(quantity);
}

/** A checked file names the leg wherever there are two. */
function onlyLegOf(part: Part): string | undefined {
  return 'legs' in part ? part.legs[0] : undefined;
}

function addressOf({ mqtt, marineData }: PointEntry): MqttAddress | MarineDataAddress {
  if (mqtt !== undefined) {
    return given({ via: 'mqtt', topic: mqtt.topic, pointer: mqtt.pointer } as const);
  }
  return given({
    via: 'marine data',
    path: marineData?.path ?? '',
    sourcePattern: marineData?.source,
  } as const);
}
