/**
 * What is left when the bus of a circuit reads voltage: its own breaker or fuse, which nobody sees
 * without a sensor, its load, and what its standing order and its neighbours ask for.
 */
import type { Boat, Circuit, PartId } from '../boat/boat.ts';
import { amps, CAUTIONS, circuitState, label } from '../catalogue/rule.ts';
import type { CircuitState, PanelState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import type { WhyDead } from './answer.ts';

export const drawsWords = (circuit: Circuit, state: CircuitState): string =>
  `${circuit.label} draws ${amps(state.amps)}, so voltage reaches it.`;

/** What a sensor on the circuit's own breaker reports; null without a fresh one. */
export function switchOf(panel: PanelState, id: PartId): string | null {
  const point = panel.points.find(
    (own) => own.of === id && own.quantity === 'switch' && own.freshness === 'fresh',
  );
  return typeof point?.value === 'string' ? point.value : null;
}

/** `its breaker H-1`, `its fuse D-3`. */
function breakerWords({ breaker, position }: Circuit): string {
  const kind = breaker.kind === 'fuse' ? 'fuse' : 'breaker';
  return position === undefined ? `its ${kind}` : `its ${kind} ${position}`;
}

/** The answer for a circuit whose bus reads voltage and which does not draw, or may not. */
export function ownBreaker(
  boat: Boat,
  panel: PanelState,
  circuit: Circuit,
  also: string[],
): WhyDead {
  const own = switchOf(panel, circuit.id);
  const cautions = [CAUTIONS.neverProvesDead, CAUTIONS.electrician];
  if (own === 'open' || own === 'tripped') {
    return {
      part: circuit.id,
      verdict: 'broken',
      link: circuit.id,
      suspects: [],
      sentence: `${label(boat, circuit.bus)} reads voltage, and ${breakerWords(circuit)} of ${circuit.label} ${own === 'open' ? 'is open' : 'has tripped'}.`,
      doThis: resetWords(circuit, own),
      also,
      cautions,
    };
  }
  return {
    part: circuit.id,
    verdict: 'own breaker',
    link: null,
    suspects: [circuit.id],
    sentence: sentenceOf(boat, panel, circuit, own),
    doThis: resetWords(circuit, null),
    also,
    cautions,
  };
}

function sentenceOf(boat: Boat, panel: PanelState, circuit: Circuit, own: string | null): string {
  const bus = `${label(boat, circuit.bus)} reads voltage`;
  const state = circuitState(panel, circuit.id);
  const draws =
    state?.activity === 'unknown'
      ? `${bus}; whether ${circuit.label} draws is not known`
      : `${bus}, and ${circuit.label} draws nothing to speak of`;
  if (own === 'closed') {
    return `${draws}: its breaker reports closed, so it may rest, be off at its own switch or be unplugged.`;
  }
  const breaker = breakerWords(circuit);
  const gone = circuit.breaker.kind === 'fuse' ? 'have blown' : 'be off or have tripped';
  return `${draws}: ${breaker} may ${gone}, which no sensor sees, or it may rest or be unplugged.`;
}

function resetWords(circuit: Circuit, own: 'open' | 'tripped' | null): string {
  const { standingOrder } = circuit;
  if (standingOrder === 'out of service') {
    return `It is out of service: leave ${breakerWords(circuit)} as it is and ask who took it out.`;
  }
  if (standingOrder === 'leave off') {
    return 'The standing order is to leave it off; switch it on only if it is needed.';
  }
  if (circuit.breaker.kind === 'fuse') {
    return `Look at ${breakerWords(circuit)}; if it has blown, find out why before it is replaced by one of the same rating.`;
  }
  if (own === 'open') return `If nobody opened it on purpose, switch ${breakerWords(circuit)} on.`;
  if (own === 'tripped') {
    return `Find out why ${breakerWords(circuit)} has tripped before it is reset.`;
  }
  return `Look at ${breakerWords(circuit)}; if it has tripped, find out why before it is reset.`;
}

/** What a circuit needs, must not run with, and is meant to do. */
export function ordersOf(boat: Boat, panel: PanelState, circuit: Circuit): string[] {
  const stateOf = (id: PartId): CircuitState | undefined => circuitState(panel, id);
  const found: string[] = [];
  const missing = circuit.requires.filter((id) => stateOf(id)?.activity === 'not drawing');
  if (missing.length > 0) {
    const names = inWords(missing.map((id) => label(boat, id)));
    found.push(
      `It needs ${names} running first, which ${missing.length > 1 ? 'draw' : 'draws'} nothing.`,
    );
  }
  const unread = circuit.requires.filter((id) => stateOf(id)?.activity === 'unknown');
  if (unread.length > 0) {
    const names = inWords(unread.map((id) => label(boat, id)));
    found.push(`It needs ${names} running first; whether that is so is not known.`);
  }
  const barred = circuit.excludes.filter((id) => stateOf(id)?.activity === 'drawing');
  if (barred.length > 0) {
    const names = inWords(barred.map((id) => label(boat, id)));
    found.push(
      `It must not run together with ${names}, which ${barred.length > 1 ? 'draw' : 'draws'} now.`,
    );
  }
  if (circuit.standingOrder === 'should be on') found.push('Its standing order: should be on.');
  if (circuit.standingOrder === 'leave off') found.push('Its standing order: leave off.');
  if (circuit.standingOrder === 'out of service') found.push('It is out of service.');
  if (circuit.note !== undefined) found.push(circuit.note);
  return found;
}
