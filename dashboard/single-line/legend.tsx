/** What the symbols and lines of the diagram mean. */
import { texts } from '../texts.ts';
import { LEVEL, LETTERS, SOURCES, UPRIGHT } from './symbols.ts';

const words = texts.singleLine.signs;
const KINDS = ['shore inlet', 'generator', 'inverter', 'solar', 'battery'] as const;
const CONTACTS = ['closed', 'open', 'tripped', 'unknown'] as const;
const LINES = ['live', 'dead', 'unknown'] as const;

function Sign({ frame, blade, state }: { frame: string; blade: string; state: string }) {
  return (
    <svg class="sld-sign" viewBox="-20 -20 40 40" aria-hidden="true" focusable="false">
      <g class="sld-symbol" data-live="live" data-position={state}>
        <path d={frame} />
        <path class="sld-blade" d={blade} />
      </g>
    </svg>
  );
}

export function Legend() {
  return (
    <details class="sld-legend">
      <summary>{texts.singleLine.legend}</summary>
      <ul>
        {KINDS.map((kind) => (
          <li key={kind}>
            <svg class="sld-sign" viewBox="-20 -20 40 40" aria-hidden="true" focusable="false">
              <g class="sld-symbol" data-live="live">
                <path d={SOURCES[kind] ?? ''} />
                {LETTERS[kind] !== undefined && (
                  <text text-anchor="middle" y="4" font-size="15">
                    {LETTERS[kind]}
                  </text>
                )}
              </g>
            </svg>
            {words[kind]}
          </li>
        ))}
        {CONTACTS.map((state) => (
          <li key={state}>
            <Sign {...UPRIGHT[state]} state={state} />
            {state === 'unknown' ? words.positionUnknown : words[state]}
          </li>
        ))}
        <li>
          <Sign {...LEVEL.closed} state="closed" />
          {words.breakerClosed}
        </li>
        <li>
          <Sign {...LEVEL.unknown} state="unknown" />
          {words.breakerUnknown}
        </li>
        {LINES.map((live) => (
          <li key={live}>
            <svg class="sld-sign" viewBox="-20 -20 40 40" aria-hidden="true" focusable="false">
              <path class="sld-wire" data-live={live} d="M-20 0H20" />
            </svg>
            {words[live]}
          </li>
        ))}
      </ul>
    </details>
  );
}
