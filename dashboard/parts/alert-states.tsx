/** What is so about an alert besides its phase: a sign and a sentence each. The shapes are the page's own. */
import type { Alert } from '../../daemon/api/contract.ts';
import { statesOf, type StateKind } from '../models/alert-states.ts';

const SHAPES: Record<StateKind, string> = {
  // A lens, a flight of steps, two bars, a box on a board, a crossed square, a zigzag, a stack.
  latched: 'M10 2a8 8 0 1 0 .01 0ZM10 5a5 5 0 1 1-.01 0ZM15 17l2-2 6 6-2 2Z',
  escalated: 'M2 21v-5h6v-5h6V6h8v15Z',
  silenced: 'M5 4h5v16H5Zm9 0h5v16h-5Z',
  shelved: 'M6 4h12v11H6ZM2 17h20v3H2Z',
  outOfService: 'M3 3h18v18H3ZM6 8.2V18h9.8ZM8.2 6H18v9.8Z',
  chattering: 'M1 15 6 5l4 8 4-8 4 8 3-6 2 1.2-5 9.8-4-8-4 8-4-8-3.2 6.8Z',
  flood: 'M3 4h18v4H3Zm0 6h18v4H3Zm0 6h18v4H3Z',
};

export function StateMark({ kind }: { kind: StateKind }) {
  return (
    <svg class="mark" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path d={SHAPES[kind]} fill-rule="evenodd" />
    </svg>
  );
}

export function AlertStates({ alert, nowMs }: { alert: Alert; nowMs: number }) {
  const states = statesOf(alert, nowMs);
  if (states.length === 0) return null;
  return (
    <ul class="alert-states">
      {states.map(({ kind, text }) => (
        <li key={kind} data-state={kind}>
          <StateMark kind={kind} />
          <span>{text}</span>
        </li>
      ))}
    </ul>
  );
}
