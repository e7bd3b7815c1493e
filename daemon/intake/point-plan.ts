/** The boat's points, arranged by the address they are read from. Made once at start. */
import { baseUnitConversion, type Boat, type Point } from '../../rules/index.ts';
import { parsePointer } from './json-pointer.ts';

export interface PlannedPoint {
  point: Point;
  /** JSON Pointer as tokens; null: the payload itself is a plain number or word. */
  tokens: readonly string[] | null;
  /** Raw word to position, for `position` and `switch` points; null for numbers. */
  words: ReadonlyMap<string, string> | null;
  /** From the point's unit to the one that readings carry. */
  toBase: (inUnit: number) => number;
}

export interface PointPlan {
  byTopic: ReadonlyMap<string, readonly PlannedPoint[]>;
  /** By open marine data path. */
  byPath: ReadonlyMap<string, readonly PlannedPoint[]>;
}

const same = (value: number): number => value;
const SWITCH_WORDS = ['closed', 'open', 'tripped'];

export function planPoints(boat: Boat): PointPlan {
  const byTopic = new Map<string, PlannedPoint[]>();
  const byPath = new Map<string, PlannedPoint[]>();
  for (const point of boat.points.values()) {
    const { address } = point;
    const words = wordsOf(boat, point);
    const toBase = words ? same : baseUnitConversion(point.quantity, point.unit);
    if (address.via === 'mqtt') {
      const tokens = address.pointer === undefined ? null : parsePointer(address.pointer);
      push(byTopic, address.topic, { point, tokens, words, toBase });
    } else {
      push(byPath, address.path, { point, tokens: null, words, toBase });
    }
  }
  return { byTopic, byPath };
}

/** Where the boat file gives no words, a point takes the position names themselves. */
function wordsOf(boat: Boat, point: Point): ReadonlyMap<string, string> | null {
  if (point.quantity !== 'position' && point.quantity !== 'switch') return null;
  if (point.words) return point.words;
  const part = boat.parts.get(point.of);
  const names = part?.part === 'selector' ? [...part.positions.keys()] : SWITCH_WORDS;
  return new Map(names.map((name) => [name, name]));
}

function push(map: Map<string, PlannedPoint[]>, key: string, planned: PlannedPoint): void {
  const list = map.get(key);
  if (list) list.push(planned);
  else map.set(key, [planned]);
}
