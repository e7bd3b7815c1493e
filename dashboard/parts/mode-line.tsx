/** What the boat is about, who said so and until when; and the way to say otherwise. */
import type { PanelState } from '../../daemon/api/contract.ts';
import { visitor } from '../access.ts';
import { clockText } from '../format.ts';
import { maySay } from '../models/roles.ts';
import { askedFor } from '../saying.ts';
import { texts } from '../texts.ts';

const words = texts.mode;

function detailsOf({ mode, atMs }: PanelState): string {
  const { by, sinceMs, untilMs } = mode;
  const parts: string[] = [];
  if (sinceMs !== null) {
    const clock = clockText(sinceMs, atMs);
    parts.push(by === null ? words.since(clock) : words.saidBy(by, clock));
  }
  if (untilMs !== null) parts.push(words.until(clockText(untilMs, atMs)));
  return parts.join(', ');
}

export function ModeLine({ state }: { state: PanelState }) {
  const details = detailsOf(state);
  return (
    <div class="mode-line">
      <p role="status">
        <strong>{words.is[state.mode.name]}</strong>
        {details !== '' && <span class="soft"> {details}</span>}
      </p>
      {maySay(visitor.value) && (
        <button
          type="button"
          class="quiet"
          onClick={() => {
            askedFor.value = { of: 'mode' };
          }}
        >
          {words.change}
          <span class="for-ears"> {words.changeWhat}</span>
        </button>
      )}
    </div>
  );
}
