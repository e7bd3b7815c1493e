/** Where selectors and main switches stand, as far as it is known. */
import type { MainSwitch, Selector } from '../boat/boat.ts';
import { conclusionOf, evidenceOf, numberOf } from './instant.ts';
import type { Instant } from './instant.ts';
import type { MainSwitchState, SelectorState, SwitchPosition } from './panel-state.ts';

const SWITCH_POSITIONS: readonly SwitchPosition[] = ['closed', 'open', 'tripped'];

const switchPosition = (word: string | undefined): SwitchPosition =>
  SWITCH_POSITIONS.find((own) => own === word) ?? 'unknown';

/** Names of the positions that the readings allow. */
function possibleNames(instant: Instant, own: Selector | MainSwitch): string[] {
  const choices = instant.supply.parts[numberOf(instant, own.id)]?.choices ?? [];
  const possible = conclusionOf(instant, own.id)?.possible ?? [];
  return possible.map((index) => choices[index]?.name ?? '');
}

export function selectorState(
  instant: Instant,
  selector: Selector,
  because: string[],
): SelectorState {
  const possible = possibleNames(instant, selector);
  const [only] = possible;
  const position = possible.length === 1 && only !== undefined ? only : null;
  const last = instant.past.positions[selector.id];
  return {
    id: selector.id,
    label: selector.label,
    position,
    evidence:
      position === null
        ? 'unknown'
        : instant.facts.reported.has(numberOf(instant, selector.id))
          ? 'measured'
          : evidenceOf(conclusionOf(instant, selector.id)?.positionRestsOn),
    possible,
    positions: [...selector.positions].map(([name, from]) => ({ name, from })),
    ...(position === null && last !== undefined ? { lastPosition: last } : {}),
    because,
  };
}

export function mainSwitchState(
  instant: Instant,
  own: MainSwitch,
  because: string[],
): MainSwitchState {
  const reported = instant.latest.word(own.id, 'switch', instant.nowMs);
  const possible = possibleNames(instant, own);
  const inferred = possible.length === 1 ? possible[0] : undefined;
  const position = switchPosition(reported ?? inferred);
  const last = instant.past.positions[own.id];
  return {
    id: own.id,
    label: own.label,
    position,
    evidence:
      position === 'unknown'
        ? 'unknown'
        : reported === null
          ? evidenceOf(conclusionOf(instant, own.id)?.positionRestsOn)
          : 'measured',
    from: own.from,
    breaker: own.breaker ? { ampsRated: own.breaker.ampsRated, kind: own.breaker.kind } : null,
    ...(position === 'unknown' && last !== undefined ? { lastPosition: switchPosition(last) } : {}),
    because,
  };
}
