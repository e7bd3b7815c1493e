/** What the steps of the clamps have shown to be wrong: a reversed clamp, a scale, a leg. */
import type { Boat, Circuit, LegName, PartId, Point } from '../boat/boat.ts';
import { ENOUGH, steadyRatio } from './clamp-steps.ts';
import type { SavedAudit, WatchedBus, WatchedCircuit } from './clamp-steps.ts';
import { sensorWords } from './culprits.ts';
import type { Contradiction, Culprit } from './panel-state.ts';

/** Factors that wrong settings make: ratio, burden, milli for whole, three phases for one. */
const FACTORS = [2, 3, 5, 10, 100, 1000, Math.sqrt(3), 1 / 3, 0.5, 0.2, 0.1, 0.01, 0.001];
const FACTOR_TOLERANCE = 0.08;

/** A load that gives power back again and again. */
export function reversedClamp(boat: Boat, point: Point): Contradiction {
  const words = sensorWords(boat, point);
  return contradictionOf([point.of], `${capital(words)} shows power coming back out of a load.`, {
    kind: 'reversed clamp',
    points: [point.id],
    text: `Most likely ${words} is the wrong way round; turn its clamp, or change its sign in the boat file.`,
  });
}

/** Wrong scales on one leg: of the bus's clamp where all circuits agree on it, else of a circuit's. */
export function wrongScales(
  boat: Boat,
  audit: SavedAudit,
  { bus, circuits }: WatchedBus,
  leg: LegName,
  feeder: Point,
): Contradiction[] {
  const judged = circuits
    .filter(({ circuit }) => circuit.legs.includes(leg))
    .flatMap((own) => {
      const ratio = steadyRatio(audit.steps[own.circuit.id]?.own);
      return ratio === null ? [] : [{ ...own, factor: factorOf(ratio, own.circuit), ratio }];
    });
  const wrong = judged.filter((own) => own.factor !== null);
  if (wrong.length === 0) return [];
  const [first] = wrong;
  const isFeeder =
    wrong.length > 1 &&
    wrong.length === judged.length &&
    wrong.every((own) => own.factor === first?.factor);
  if (isFeeder && first) return [wrongScale(boat, bus.id, [feeder], first.ratio)];
  const hasWitness = judged.some((own) => own.factor === null);
  return wrong.map((own) =>
    wrongScale(boat, own.circuit.id, hasWitness ? [own.point] : [own.point, feeder], 1 / own.ratio),
  );
}

function wrongScale(boat: Boat, part: PartId, points: Point[], factor: number): Contradiction {
  const [first] = points;
  const words = points.map((point) => sensorWords(boat, point)).join(' or ');
  const times = factor >= 1 ? factor.toFixed(1) : (1 / factor).toFixed(1);
  const reads = factor >= 1 ? `${times} times too much` : `${times} times too little`;
  const because = first
    ? `Each time one circuit is switched, its clamp and its bus's step by amounts that differ ${times} times.`
    : '';
  return contradictionOf([part], because, {
    kind: 'wrong scale',
    points: points.map((point) => point.id),
    text:
      points.length === 1
        ? `Most likely ${words} reads ${reads}; look at its clamp's ratio and its scale in the boat file.`
        : `Most likely the scale of ${words} is wrong.`,
  });
}

/** A circuit that steps on the other leg only: its clamp, or the boat file, has the wrong one. */
export function wrongLeg(
  boat: Boat,
  audit: SavedAudit,
  { bus, feeders }: WatchedBus,
  own: WatchedCircuit,
): Contradiction[] {
  const steps = audit.steps[own.circuit.id];
  const other = steadyRatio(steps?.other);
  const isAbsent = (steps?.own ?? []).slice(-ENOUGH).every((ratio) => Math.abs(ratio) < 0.15);
  if (!steps || steps.own.length < ENOUGH || !isAbsent) return [];
  if (other === null || other < 0.6 || other > 1.4) return [];
  const otherLeg = feeders.find(({ leg }) => !own.circuit.legs.includes(leg))?.leg ?? '';
  const words = sensorWords(boat, own.point);
  return [
    contradictionOf(
      [own.circuit.id],
      `Each time ${own.circuit.label} is switched, ${bus.label} steps on leg ${otherLeg} and not on leg ${own.circuit.legs.join()}.`,
      {
        kind: 'clamp on the wrong leg',
        points: [own.point.id],
        text: `Most likely ${words} is on a wire of leg ${otherLeg}, or the boat file names the wrong leg.`,
      },
    ),
  ];
}

export const contradictionOf = (
  parts: PartId[],
  because: string,
  culprit: Culprit,
): Contradiction => ({
  parts,
  because: [because],
  culprit,
});

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/**
 * The factor of a wrong setting that a ratio stands for, or null. Between one half and one a ratio
 * may be the power factor of a motor beside resistive loads, so there only heaters count.
 */
function factorOf(ratio: number, circuit: Circuit): number | null {
  if (ratio > 0.4 && ratio < 1 && circuit.load !== 'resistive') return null;
  const factors = [...FACTORS, 1 / Math.sqrt(3)];
  return factors.find((own) => Math.abs(ratio / own - 1) <= FACTOR_TOLERANCE) ?? null;
}
