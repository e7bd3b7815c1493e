/** Texts that are made to hurt: too long, too deep, or blowing up. */
import { describe, expect, it } from 'vitest';
import { linesOf } from './boat-texts.ts';

const MEBIBYTE = 1_048_576;

describe('hostile YAML', () => {
  it('refuses a file that is too long, and takes one that just fits', () => {
    expect(linesOf('#'.repeat(MEBIBYTE + 1))).toEqual([
      'b:1:1: a boat file must be at most 1048576 characters long, got 1048577',
    ]);
    expect(linesOf('#'.repeat(MEBIBYTE))).toEqual([
      'b:1:1: the boat file is empty; it must begin with `boat:` and `system:`',
    ]);
  });

  // Composed as they stand these end the whole process: V8 has no stack left for a regular
  // expression. The depth is therefore counted before anything is composed.
  it.each(['[', '{', '- ', '? ', '[{', '- - -\t', '{a: '])(
    'refuses %j without end before it is composed',
    (bit) => {
      const lines = linesOf(bit.repeat(MEBIBYTE / 8));
      expect(lines).toHaveLength(1);
      expect(lines[0]).toContain('nested more than 32 levels deep');
    },
  );

  it('refuses a staircase of keys', () => {
    const stairs = Array.from({ length: 200 }, (_, step) => `${' '.repeat(step)}a:`).join('\n');
    expect(linesOf(stairs)).toEqual([
      expect.stringContaining('nested more than 32 levels deep; a boat file needs six'),
    ]);
  });

  it('never unfolds an alias', () => {
    const bomb = ['a0: &a0 x'];
    for (let step = 1; step < 30; step++) {
      bomb.push(`a${step}: &a${step} [*a${step - 1}, *a${step - 1}]`);
    }
    const lines = linesOf(bomb.join('\n'));
    expect(lines.filter((line) => line.includes('is a YAML alias'))).toHaveLength(58);
    expect(lines.filter((line) => line.includes('is a YAML anchor'))).toHaveLength(30);
  });

  it('lists a thousand problems and counts the rest', () => {
    const keys = Array.from({ length: 1500 }, (_, index) => `key${index}: 1`).join('\n');
    const lines = linesOf(keys);
    expect(lines).toHaveLength(1000);
    // 1500 keys that are none, two sections and the points missing: 1503.
    expect(lines.at(-1)).toMatch(/ 504 more problems from here on are not listed$/);
  });

  it('says how a name is written twice however long the map is', () => {
    const keys = Array.from({ length: 20_000 }, (_, index) => `k${index}:`).join('\n');
    const lines = linesOf(`${keys}\nk7:\n`);
    expect(lines).toHaveLength(1000);
  });
});
