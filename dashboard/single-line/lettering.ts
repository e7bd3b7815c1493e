/**
 * How much room words take, before any browser has drawn them. The estimate is an upper bound for
 * the usual sans-serif faces, by kinds of characters: shares of the type size, a little above the
 * widths of the widest such face in common use.
 */

/** Type size and line height of every label, in units of the diagram. */
export const TYPE_SIZE = 12;
export const LINE_HEIGHT = 15;

function emsOf(character: string): number {
  if (/[WMmw@%—…]/.test(character)) return 1;
  if (/[iljtfrI.,:;'|!()[\] -]/.test(character)) return 0.45;
  if (/[CDGHNOQU&]/.test(character)) return 0.8;
  if (/[A-Z]/.test(character)) return 0.74;
  if (/[ -\u024f]/.test(character)) return 0.66;
  return 1.15;
}

/** Type size of the names of a selector's positions. */
export const NAME_SIZE = 11;

/** Most units that a text can be wide. */
export const textWidth = (text: string, size = TYPE_SIZE): number =>
  Array.from(text).reduce((total, character) => total + emsOf(character) * size, 0);

/** The text, or as much of it as fits before an ellipsis. Never empty for a text that is not. */
function shortened(text: string, width: number, size: number): string {
  if (textWidth(text, size) <= width) return text;
  const kept = Array.from(text);
  while (kept.length > 1 && textWidth(`${kept.join('').trimEnd()}…`, size) > width) kept.pop();
  const short = `${kept.join('').trimEnd()}…`;
  return textWidth(short, size) <= width ? short : '…';
}

/** Words on at most `most` lines of a width; what does not fit ends in an ellipsis. */
export function wrapped(text: string, width: number, most: number, size = TYPE_SIZE): string[] {
  const lines: string[] = [];
  const words = text.split(/\s+/).filter((word) => word !== '');
  while (words.length > 0) {
    if (lines.length === most - 1) return [...lines, shortened(words.join(' '), width, size)];
    let line = words.shift() ?? '';
    while (words[0] !== undefined && textWidth(`${line} ${words[0]}`, size) <= width) {
      line = `${line} ${words.shift() ?? ''}`;
    }
    lines.push(shortened(line, width, size));
  }
  return lines;
}
