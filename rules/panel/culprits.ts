/**
 * Readings that cannot all be true: which one is most likely wrong. Each sensor is left out in
 * turn; where a single omission makes everything fit, that sensor is the culprit. Voltage where
 * every source that could bring it reads none is named first: it may be real, and dangerous.
 */
import type { Boat, Point, PointId } from '../boat/boat.ts';
import { allCombinations } from './combinations.ts';
import type { Facts, LegFact } from './facts.ts';
import type { Latest } from './latest.ts';
import type { Contradiction, Culprit } from './panel-state.ts';
import { inWords, reach } from './reasons.ts';
import { isRoot } from './supply.ts';
import type { Supply } from './supply.ts';

export interface Scene {
  boat: Boat;
  supply: Supply;
  facts: Facts;
  latest: Latest;
}

/** A sensor in words: `the voltage sensor of Climate bus on leg L1`. */
export function sensorWords(boat: Boat, point: Point): string {
  const part = boat.parts.get(point.of);
  const hasLegs = part !== undefined && 'legs' in part && part.legs.length > 1;
  const leg = point.leg !== undefined && hasLegs ? ` on leg ${point.leg}` : '';
  return `the ${KIND_WORDS[point.quantity] ?? 'sensor'} of ${part?.label ?? point.of}${leg}`;
}

const KIND_WORDS: Readonly<Record<string, string>> = {
  volts: 'voltage sensor',
  amps: 'current clamp',
  watts: 'power meter',
  position: 'position sensor',
  switch: 'position sensor',
};

/** The facts as they would be without one sensor. */
function without({ supply, facts }: Scene, point: Point): Facts {
  const number = supply.numberOf.get(point.of);
  const legs = facts.legs.flatMap((fact): LegFact[] => {
    const grounds = fact.grounds.filter((own) => own.point !== point.id);
    return grounds.length > 0 ? [{ ...fact, grounds }] : [];
  });
  const reported = new Map(facts.reported);
  const roots = new Map(facts.roots);
  if (number !== undefined && (point.quantity === 'position' || point.quantity === 'switch')) {
    reported.delete(number);
  }
  const ofRoot = number === undefined ? undefined : roots.get(number);
  if (number !== undefined && ofRoot && point.quantity === 'volts' && point.leg !== undefined) {
    const rest = new Map(ofRoot);
    rest.delete(point.leg);
    roots.set(number, rest);
  }
  return { ...facts, legs, reported, roots };
}

/** Sensors without any one of which the readings of the group would fit. */
function suspects(scene: Scene, group: number): Point[] {
  const { boat, supply, facts } = scene;
  const named = new Set<PointId>(
    facts.legs
      .filter((fact) => supply.parts[fact.part]?.group === group)
      .flatMap((fact) => fact.grounds.map((own) => own.point)),
  );
  return [...boat.points.values()].filter((point) => {
    const number = supply.numberOf.get(point.of);
    const isInGroup = number !== undefined && supply.parts[number]?.group === group;
    const speaks =
      named.has(point.id) ||
      (isInGroup && ['volts', 'position', 'switch'].includes(point.quantity));
    if (!speaks) return false;
    const diagram = allCombinations(supply, without(scene, point), group);
    return diagram !== null && diagram.finals.length > 0;
  });
}

/** A live leg that no live or unmeasured source can reach, with the sensors that say so. */
function backfeed({ boat, supply, facts }: Scene, group: number): Culprit | null {
  const reached = reach(supply, (part) => (supply.parts[part]?.choices ?? []).map((_, at) => at));
  for (const fact of facts.legs) {
    const own = supply.parts[fact.part];
    if (own?.group !== group || fact.claims !== 'live') continue;
    const roots = [...(reached[fact.part] ?? [])].filter(
      (root) => root >= 0 && supply.parts[root]?.legs.includes(fact.leg),
    );
    if (!roots.every((root) => facts.roots.get(root)?.get(fact.leg) === 'dead')) continue;
    // A source that delivers current is live, whatever its voltmeter says.
    if (facts.impossible.some((source) => roots.includes(source.part))) continue;
    // A circuit's clamp alone proves nothing: clamps read a little of their neighbours.
    const hasVoltmeter = fact.grounds.some(
      ({ point }) => boat.points.get(point)?.quantity === 'volts',
    );
    if (!hasVoltmeter) continue;
    const names = roots.map((root) => supply.parts[root]?.part.label ?? '');
    return {
      kind: 'backfeed',
      points: fact.grounds.map((ground) => ground.point),
      text: `${fact.grounds.map((ground) => ground.text).join(', ')}, though ${inWords(names)}, all that could feed it, ${names.length > 1 ? 'read' : 'reads'} none: it may be fed from somewhere else, or ${names.length > 1 ? 'their' : 'its'} voltage sensor may be dead.`,
    };
  }
  return null;
}

/** What is most likely wrong with the only sensor whose omission makes everything fit. */
function culpritOf({ boat, latest }: Scene, point: Point): Culprit {
  const words = sensorWords(boat, point);
  const points = [point.id];
  if (latest.isFrozen(point)) {
    const text = `Most likely ${words} is frozen: it says the same to the last digit, and without it everything fits.`;
    return { kind: 'frozen sensor', points, text };
  }
  if (point.quantity === 'amps' || point.quantity === 'watts') {
    const text = `Most likely ${words} is on the wrong wire: without it everything fits.`;
    return { kind: 'clamp on the wrong wire', points, text };
  }
  const text = `Most likely ${words} is dead or wrong: without it everything fits.`;
  return { kind: 'dead sensor', points, text };
}

function culpritIn(scene: Scene, group: number): Culprit | null {
  const found = suspects(scene, group);
  const frozen = found.find((point) => scene.latest.isFrozen(point));
  if (frozen) return culpritOf(scene, frozen);
  const fed = backfeed(scene, group);
  if (fed) return fed;
  const [only] = found;
  return found.length === 1 && only ? culpritOf(scene, only) : null;
}

/** A group whose readings allow no position at all. */
export function groupContradiction(scene: Scene, group: number): Contradiction {
  const { supply, facts } = scene;
  const own = facts.legs.filter((fact) => supply.parts[fact.part]?.group === group);
  return {
    parts: supply.parts
      .filter((part) => part.group === group && !isRoot(part.part))
      .map((part) => part.part.id),
    because: [
      'No position of the selectors and main switches explains these readings together:',
      ...own.flatMap((fact) => fact.grounds.map(({ text }) => `${text}.`)),
    ],
    culprit: culpritIn(scene, group),
  };
}

/** A source that is measured to deliver current without voltage. */
export function impossibleSource(
  { boat, supply, latest }: Scene,
  { part, text, points }: Facts['impossible'][number],
): Contradiction {
  const ofSource = points.flatMap((id) => boat.points.get(id) ?? []);
  const frozen = ofSource.find((point) => latest.isFrozen(point));
  const volts = ofSource.find((point) => point.quantity === 'volts');
  const culprit: Culprit | null = frozen
    ? {
        kind: 'frozen sensor',
        points: [frozen.id],
        text: `Most likely ${sensorWords(boat, frozen)} is frozen: it says the same to the last digit.`,
      }
    : volts
      ? {
          kind: 'dead sensor',
          points: [volts.id],
          text: `Most likely ${sensorWords(boat, volts)} is dead: current does not flow without voltage.`,
        }
      : null;
  return { parts: [supply.parts[part]?.part.id ?? ''], because: [text], culprit };
}
