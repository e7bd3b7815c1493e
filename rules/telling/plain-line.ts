/** Lines of plain text that any way out can carry. */

export const HEADLINE_CHARACTERS = 160;

/** At the end of every letter that tells of the panel. */
export const CLOSING =
  'panelward informs and switches nothing; no message of it proves a circuit dead or a supply safe.';

const MOST_LINES = 12;

/** So many lines, and how many more there are. */
export function bounded(lines: readonly string[]): string[] {
  if (lines.length <= MOST_LINES) return [...lines];
  return [...lines.slice(0, MOST_LINES), `And ${lines.length - MOST_LINES} more.`];
}

/** Nothing but text: no line breaks or other control characters, and nothing is shouted. */
export const plain = (text: string): string =>
  text
    .replaceAll(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\s]+/gu, ' ')
    .replaceAll('!', '')
    .trim();

/** At most `most` characters, cut between words and marked as cut; a single word that is longer is cut. */
export function cut(text: string, most: number): string {
  const line = plain(text);
  if (line.length <= most) return line;
  const room = Math.max(0, most - 1);
  // A pair of surrogates is not taken apart.
  const whole = line.slice(0, room + 1).replace(/[\uD800-\uDBFF]?.$/u, '');
  const atSpace = line[whole.length] === ' ' ? whole.length : whole.lastIndexOf(' ');
  const kept = atSpace > room / 2 ? whole.slice(0, atSpace) : whole;
  return `${kept.replace(/[\s,;:.]+$/, '')}…`;
}

/**
 * The first line of a letter: boat, what, and what must not be cut, such as since when. Long names
 * and long titles give way to it.
 */
export function headline(boat: string, what: string, end: string = ''): string {
  const tail = end === '' ? '' : `, ${plain(end)}`;
  const name = cut(boat, 40);
  const most = HEADLINE_CHARACTERS - name.length - 2 - tail.length;
  return cut(`${name}: ${cut(what, Math.max(20, most))}${tail}`, HEADLINE_CHARACTERS);
}

/** `1 alarm`, `2 alarms` */
export const counted = (count: number, word: string): string =>
  `${count} ${word}${count === 1 ? '' : 's'}`;
