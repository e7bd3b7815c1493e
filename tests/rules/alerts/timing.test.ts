import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Verdict } from '../../../rules/alerts/check.ts';
import { step } from '../../../rules/alerts/timing.ts';
import type { Timing } from '../../../rules/alerts/timing.ts';

const ON_MS = 5000;
const OFF_MS = 3000;

/** Plays verdicts a second apart; `R`aise, `H`old, `C`lear, `U`nknown. Returns `#` where met. */
function play(verdicts: string, gapMs = 0, onDelayMs = ON_MS, offDelayMs = OFF_MS): string {
  const words: Record<string, Verdict> = { R: 'raise', H: 'hold', C: 'clear', U: 'unknown' };
  let timing: Timing | undefined;
  return [...verdicts]
    .map((letter, i) => {
      const verdict = words[letter] ?? 'unknown';
      const check = {
        levels: [{ priority: 'warning' as const, verdict, onDelayMs, gapMs }],
        offDelayMs,
      };
      const timed = step(check, timing, i * 1000, i === 0 ? 0 : 1000);
      // What is kept is plain JSON, so a restart changes nothing.
      timing = JSON.parse(JSON.stringify(timed.timing)) as Timing;
      if (timed.met === null) return '.';
      return timed.isHeld ? '?' : '#';
    })
    .join('');
}

describe('delays', () => {
  test.each([
    ['RRRRRRRR', '.....###', 'met after the on-delay, not before'],
    ['RRRRRCRRRRRR', '...........#', 'a break starts the on-delay anew'],
    ['RRRRRHRRRRRR', '...........#', 'so does a stay in the deadband'],
    ['RRRUUURRRR', '........##', 'what is unknown neither counts nor resets'],
    ['RRRRRRCCCCC', '.....####..', 'over after the off-delay'],
    ['RRRRRRCCRCCCC', '.....#######.', 'a return in between starts the off-delay anew'],
    ['RRRRRRCCHCCCC', '.....#######.', 'so does the deadband'],
    ['RRRRRRHHHHHH', '.....#######', 'the deadband alone never clears'],
    ['RRRRRRUUUUUU', '.....#??????', 'silence never clears'],
    ['RRRRRRCUUUCCCC', '.....##???##..', 'nor does it count for the off-delay'],
    ['UUUUUUUUUU', '..........', 'silence never raises'],
  ])('%s gives %s: %s', (verdicts, expected) => {
    expect(play(verdicts)).toBe(expected);
  });

  test('a short gap rides through where the level allows it', () => {
    expect(play('RRRCCRRR', 3000)).toBe('.......#');
    expect(play('RRRCCCCRRRRR', 3000)).toBe('............');
  });

  test('no delay at all raises and clears at once', () => {
    expect(play('RCRC', 0, 0, 0)).toBe('#.#.');
  });

  test('whatever comes: never met before the on-delay has passed in all, never met by silence', () => {
    const letters = fc.array(fc.constantFrom('R', 'H', 'C', 'U'), { minLength: 1, maxLength: 60 });
    fc.assert(
      fc.property(letters, (own) => {
        const marks = play(own.join(''));
        const first = [...marks].findIndex((mark) => mark !== '.');
        if (first < 0) return;
        expect(own[first]).toBe('R');
        const raising = own.slice(0, first + 1).filter((letter) => letter === 'R').length;
        expect(raising).toBeGreaterThan(ON_MS / 1000);
      }),
    );
  });

  test('whatever comes: once met it stays met until it has been clear for the off-delay', () => {
    const letters = fc.array(fc.constantFrom('R', 'H', 'C', 'U'), { minLength: 1, maxLength: 60 });
    fc.assert(
      fc.property(letters, (own) => {
        const marks = play(`RRRRRR${own.join('')}`).slice(6);
        const end = marks.indexOf('.');
        if (end < 0) return;
        const before = own.slice(0, end + 1).join('');
        expect(before).toMatch(/C[CU]*C[CU]*C[CU]*C$/);
      }),
    );
  });
});
