/** Over which time to draw: a named span up to now, or from one instant to another. */
import type { TargetedSubmitEvent } from 'preact';
import { useState } from 'preact/hooks';
import { fromLocalInput, ownOffsetAt, toLocalInput } from '../models/local-input.ts';
import type { Gap } from '../models/traces.ts';
import { SPAN_NAMES, type Span } from '../route.ts';
import { texts } from '../texts.ts';

const words = texts.history;

export interface SpanPickerProps {
  span: Span;
  /** What the span covers at this moment; null: not known yet. */
  instants: Gap | null;
  choose: (span: Span) => void;
}

function Between({ instants, choose }: Omit<SpanPickerProps, 'span'>) {
  const [problem, setProblem] = useState<string | null>(null);
  const show = (event: TargetedSubmitEvent<HTMLFormElement>) => {
    event.preventDefault();
    const given = new FormData(event.currentTarget);
    const fromMs = fromLocalInput(given.get('from'), ownOffsetAt);
    const toMs = fromLocalInput(given.get('to'), ownOffsetAt);
    const isSpan = fromMs !== null && toMs !== null && toMs > fromMs;
    setProblem(isSpan ? null : words.wrongSpan);
    if (isSpan) choose({ fromMs, toMs });
  };
  const start = (atMs: number | undefined) =>
    atMs === undefined ? '' : toLocalInput(atMs, ownOffsetAt(atMs));
  return (
    <form class="between" onSubmit={show} noValidate>
      <label>
        {words.from}
        <input type="datetime-local" name="from" defaultValue={start(instants?.fromMs)} />
      </label>
      <label>
        {words.to}
        <input type="datetime-local" name="to" defaultValue={start(instants?.toMs)} />
      </label>
      <button type="submit">{words.show}</button>
      <p class="problem" role="alert">
        {problem}
      </p>
    </form>
  );
}

export function SpanPicker({ span, instants, choose }: SpanPickerProps) {
  const [isBetween, setBetween] = useState(typeof span !== 'string');
  return (
    <fieldset class="spans">
      <legend>{words.span}</legend>
      <div class="span-buttons">
        {SPAN_NAMES.map((name) => (
          <button
            type="button"
            key={name}
            aria-pressed={span === name}
            onClick={() => {
              setBetween(false);
              choose(name);
            }}
          >
            {words.spans[name]}
          </button>
        ))}
        <button
          type="button"
          aria-pressed={typeof span !== 'string'}
          aria-expanded={isBetween}
          onClick={() => setBetween(!isBetween)}
        >
          {words.between}
        </button>
      </div>
      {isBetween && <Between instants={instants} choose={choose} />}
    </fieldset>
  );
}
