/** What one person hears of a run who wants to be told as everybody is by default. */
import { createTelling } from '../../rules/index.ts';
import type { Letter } from '../../rules/index.ts';
import type { Look } from './run-fast.ts';

export interface LetterBox {
  letters: Letter[];
  look: (look: Pick<Look, 'alertEvents' | 'panel'>) => void;
}

export function letterBox(boatName: string): LetterBox {
  const letters: Letter[] = [];
  const telling = createTelling({
    boatName,
    settings: {
      timeZone: 'Europe/Amsterdam',
      contacts: {
        owner: {
          name: 'Owner',
          told: 'first',
          ways: ['mail'],
          priority: 'warning',
          modes: ['aboard', 'away', 'under way'],
        },
      },
    },
  });
  return {
    letters,
    look({ alertEvents, panel }) {
      const now = { nowMs: panel.atMs, mode: panel.mode.name, panel };
      letters.push(...telling.take(alertEvents, now).letters);
    },
  };
}

export const lettersText = (letters: readonly Letter[], startMs: number): string[] =>
  letters.map(
    ({ kind, headline, writtenAtMs }) =>
      `    ${Math.round((writtenAtMs - startMs) / 1000)} s, ${kind}: ${headline}`,
  );
