/** Points by what publishes them: what one sensor board sends falls silent or freezes together. */
import type { Mode } from '../alerts/alert.ts';
import { MODES } from '../alerts/alert.ts';
import type { Boat, Point, PointId } from '../boat/boat.ts';
import { AT_REST, ONLY_AWAY } from './modes.ts';
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

/** What publishes a point of the boat. */
export const publisherOf = (boat: Boat, id: PointId): Publisher | undefined =>
  publishers(boat).find(({ points }) => points.some((point) => point.id === id));

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

/**
 * The modes in which it is grave not to see these points: a bilge pump in all, a shore inlet while
 * she may hang on it, and whatever it is with nobody aboard.
 */
export function graveIn(boat: Boat, points: readonly Point[]): readonly Mode[] {
  const parts = points.map(({ of }) => boat.parts.get(of));
  const isBilge = parts.some((own) => own?.part === 'circuit' && own.duty === 'bilge pump');
  if (isBilge) return MODES;
  const isShore = parts.some((own) => own?.part === 'source' && own.kind === 'shore inlet');
  return isShore ? AT_REST : ONLY_AWAY;
}
