/** Points by what publishes them: what one sensor board sends falls silent or freezes together. */
import type { Boat, Point } from '../boat/boat.ts';
import { label } from './rule.ts';

export interface Publisher {
  /** First of its points names it in keys: topics may hold characters that ids may not. */
  first: Point;
  /** What a person looks for: the topic, or the paths' common part. */
  address: string;
  points: Point[];
}

const known = new WeakMap<Boat, Publisher[]>();

/** Points by what publishes them; found once for each boat. */
export function publishers(boat: Boat): Publisher[] {
  let own = known.get(boat);
  if (!own) known.set(boat, (own = findPublishers(boat)));
  return own;
}

/** An MQTT topic, or one part's open marine data paths. */
function findPublishers(boat: Boat): Publisher[] {
  const found = new Map<string, Publisher>();
  for (const point of boat.points.values()) {
    const { address } = point;
    const key = address.via === 'mqtt' ? `mqtt ${address.topic}` : `marine ${point.of}`;
    const own = found.get(key);
    if (own) own.points.push(point);
    else {
      const words =
        address.via === 'mqtt'
          ? `MQTT topic ${address.topic}`
          : `open marine data of ${label(boat, point.of)}`;
      found.set(key, { first: point, address: words, points: [point] });
    }
  }
  return [...found.values()];
}

/** A shore inlet or a bilge pump: not to see it can cost the boat. */
export function guardsTheBoat(boat: Boat, { of }: Point): boolean {
  const part = boat.parts.get(of);
  if (part?.part === 'source') return part.kind === 'shore inlet';
  return part?.part === 'circuit' && part.duty === 'bilge pump';
}
