/** A small invented boat for intake tests; only its parts that points refer to matter. */
import { LIMITS, type Boat, type Intake, type Part, type Point } from '../../../rules/index.ts';

const selector: Part = {
  part: 'selector',
  id: 'supply',
  label: 'SUPPLY',
  system: 'ac',
  positions: new Map([
    ['SHORE', null],
    ['OFF', null],
  ]),
};

/** A point with everything neutral: raw volts in, volts out, 0..1000. */
export function point(id: string, over: Partial<Point> = {}): Point {
  return {
    id,
    of: 'shore',
    quantity: 'volts',
    address: { via: 'mqtt', topic: `panel/${id}` },
    scale: 1,
    offset: 0,
    sign: 1,
    unit: 'V',
    expectedEveryMs: 1_000,
    min: 0,
    max: 1_000,
    ...over,
  };
}

/** A point read from an open marine data path. */
export function marinePoint(id: string, path: string, over: Partial<Point> = {}): Point {
  return point(id, { address: { via: 'marine data', path }, ...over });
}

export function boatWith(points: readonly Point[], intake?: Intake): Boat {
  return {
    name: 'Test Tern',
    ac: null,
    dc: { volts: 12 },
    parts: new Map([['supply', selector]]),
    sources: [],
    batteries: [],
    selectors: [],
    mainSwitches: [],
    buses: [],
    circuits: [],
    points: new Map(points.map((one) => [one.id, one])),
    limits: limitDefaults(),
    intake: intake ?? { mqtt: { broker: 'embedded', port: 0 } },
  };
}

function limitDefaults(): Boat['limits'] {
  const entries = Object.entries(LIMITS).map(([name, limit]) => [name, limit.default]);
  const limits: Boat['limits'] = Object.fromEntries(entries);
  return limits;
}
