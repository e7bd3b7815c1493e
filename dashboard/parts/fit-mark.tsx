/** The sign of a pile, by shape: an open ring takes more, a half one asks for something, a bar is shut. */
import type { Pile } from '../models/load-piles.ts';

const SHAPES: Record<Pile, string> = {
  fits: 'M5 13l5 5L20 6',
  'fits if off': 'M12 3v9M6.5 6.5a8 8 0 1 0 11 0',
  'does not fit': 'M3 12h18M12 4v4M12 16v4',
  other: 'M6 12h.01M12 12h.01M18 12h.01',
};

export function FitMark({ pile }: { pile: Pile }) {
  return (
    <svg class="mark fit-mark" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <path d={SHAPES[pile]} />
    </svg>
  );
}
