/** A rotary selector as the strip of its engraved positions. */
import type { SelectorState } from '../../daemon/api/contract.ts';
import { labelOf, placesOf, standsText } from '../models/feeding.ts';
import { texts } from '../texts.ts';
import { TurnedButton, turnedSelector } from './turned-button.tsx';
import { Why } from './why.tsx';

const PLACE_WORDS = {
  here: texts.panel.here,
  perhaps: texts.panel.perhaps,
  'not here': texts.panel.notHere,
};

export interface SelectorBlockProps {
  selector: SelectorState;
  labels: ReadonlyMap<string, string>;
}

export function SelectorBlock({ selector, labels }: SelectorBlockProps) {
  const { label, position, evidence, lastPosition, because } = selector;
  return (
    <article class="block selector">
      <h3>
        <span class="plate">{label}</span>
      </h3>
      <p class="state">
        {standsText(selector)}
        {position !== null && <span class="soft"> ({texts.panel.evidence[evidence]})</span>}
        {position === null && lastPosition !== undefined && (
          <span class="soft">; {texts.panel.lastPosition(lastPosition)}</span>
        )}
      </p>
      <ul class="places">
        {placesOf(selector).map(({ name, from, place }) => (
          <li key={name} data-place={place.replace(' ', '-')}>
            <span class="place-name">{name}</span>
            {place !== 'not here' && <span class="place-word">{PLACE_WORDS[place]}</span>}
            {place === 'not here' && <span class="for-ears">{PLACE_WORDS[place]}</span>}
            <span class="place-from">
              {from === null ? texts.panel.fromNothing : labelOf(labels, from)}
            </span>
          </li>
        ))}
      </ul>
      {evidence !== 'measured' && <TurnedButton turned={turnedSelector(selector)} />}
      <Why because={because} label={label} />
    </article>
  );
}
