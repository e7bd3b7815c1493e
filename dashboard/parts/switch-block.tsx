/** A main switch with its contact drawn. */
import type { MainSwitchState } from '../../daemon/api/contract.ts';
import { withUnit } from '../format.ts';
import { labelOf } from '../models/feeding.ts';
import { texts } from '../texts.ts';
import { Contact } from './contact.tsx';
import { TurnedButton, turnedSwitch } from './turned-button.tsx';
import { Why } from './why.tsx';

export interface SwitchBlockProps {
  mainSwitch: MainSwitchState;
  labels: ReadonlyMap<string, string>;
}

export function SwitchBlock({ mainSwitch, labels }: SwitchBlockProps) {
  const { label, position, evidence, from, breaker, lastPosition, because } = mainSwitch;
  const words = texts.panel;
  return (
    <article class="block switch" data-position={position}>
      <h3>
        <span class="plate">{label}</span>
        {breaker !== null && (
          <span class="kind"> {words.mainBreaker(withUnit(breaker.ampsRated, 0, 'A'))}</span>
        )}
      </h3>
      <p class="state">
        <Contact position={position} />
        <span>
          {words.switchPosition[position]}
          {position !== 'unknown' && <span class="soft"> ({words.evidence[evidence]})</span>}
          {position === 'unknown' && lastPosition !== undefined && (
            <span class="soft">; {words.lastSwitch(words.switchPosition[lastPosition])}</span>
          )}
          <span class="soft">, {words.suppliedFrom(labelOf(labels, from))}</span>
        </span>
      </p>
      {evidence !== 'measured' && <TurnedButton turned={turnedSwitch(mainSwitch)} />}
      <Why because={because} label={label} />
    </article>
  );
}
