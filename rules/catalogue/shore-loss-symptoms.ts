/** What follows from a loss of shore power: told inside its alert, not beside it. */
import type { Point, PointId } from '../boat/boat.ts';
import { publisherOf } from './publishers.ts';
import { requiredCircuits } from './required-circuits.ts';
import type { RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';
import type { RuleName } from './rule-names.ts';
import type { Inlet } from './shore-inlets.ts';
import { lastFed } from './shore-inlets.ts';

export interface LossSeen {
  /** The loss lasts; false while it is on its way to being over. */
  isGone: boolean;
  /** Points that fell silent together with it. */
  died: readonly string[];
  /** Points that go on saying what they said before it. */
  frozen: readonly Point[];
}

/** These start together again when power comes back, so they wait until the loss is over. */
function circuitKeys({ boat }: RuleContext, buses: ReadonlySet<string>): string[] {
  return boat.circuits.flatMap((circuit) => {
    if (!buses.has(circuit.bus)) return [];
    const { id, charges, standingOrder, load, duty } = circuit;
    const isToBeOn = standingOrder === 'should be on' && charges === undefined;
    return [
      ...(charges === undefined ? [] : [keyOf('charger-off', id)]),
      ...(isToBeOn ? [keyOf('standing-order', id)] : []),
      ...(load === 'motor' && duty === undefined ? [keyOf('short-cycling', id)] : []),
    ];
  });
}

/** Only where all that need the missing one are without power too: else something runs dry. */
function requiredKeys(context: RuleContext, buses: ReadonlySet<string>, isGone: boolean): string[] {
  const rules: readonly RuleName[] = isGone
    ? ['shared-trips', 'missing-prerequisite', 'weak-prerequisite']
    : ['shared-trips'];
  return requiredCircuits(context.boat)
    .filter(({ dependents }) => dependents.every((own) => buses.has(own.bus)))
    .flatMap(({ required }) => rules.map((rule) => keyOf(rule, required.id)));
}

/** A silent point may be told by itself, and its publisher by its first point. */
function silentKeys({ boat }: RuleContext, point: PointId): string[] {
  const publisher = publisherOf(boat, point);
  const isFirst = publisher?.first.id === point;
  const isAlone = publisher?.points.length === 1;
  return [
    ...(isFirst ? [keyOf('sensor-silent', `from-${point}`)] : []),
    ...(isAlone ? [] : [keyOf('sensor-silent', point)]),
  ];
}

/** A frozen point is told by its publisher, which its first point names. */
const frozenKeys = ({ boat }: RuleContext, points: readonly Point[]): string[] => [
  ...new Set(
    points.map(({ id }) => keyOf('sensor-frozen', `from-${publisherOf(boat, id)?.first.id ?? id}`)),
  ),
];

/** Keys of what a loss explains: all of them are checks of this boat. */
export function symptomsOf(context: RuleContext, { inlet }: Inlet, loss: LossSeen): string[] {
  const { id, legs } = inlet;
  const buses = new Set(lastFed(context, id));
  const { isGone, died, frozen } = loss;
  return [
    ...circuitKeys(context, buses),
    ...requiredKeys(context, buses, isGone),
    keyOf('low-voltage', id),
    keyOf('shore-frequency', id),
    keyOf('weak-supply', id),
    ...(legs.length === 2 ? [keyOf('shore-kind', id)] : []),
    ...died.flatMap((point) => silentKeys(context, point)),
    ...(isGone ? [...buses].map((bus) => keyOf('dead-bus', bus)) : []),
    ...(isGone ? frozenKeys(context, frozen) : []),
  ];
}
