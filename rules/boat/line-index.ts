/** Line and column of a place in a text. The YAML parser's own count misses lines it cannot read. */

export interface LineAndColumn {
  /** Counted from 1. */
  line: number;
  /** Counted from 1, in UTF-16 code units. */
  column: number;
}

/** Lines end with `\n`; places outside the text are taken for its ends. */
export function lineIndex(text: string): (offset: number) => LineAndColumn {
  const starts = [0];
  for (let end = text.indexOf('\n'); end !== -1; end = text.indexOf('\n', end + 1)) {
    starts.push(end + 1);
  }
  return (offset) => {
    const place = Math.min(Math.max(offset, 0), text.length);
    // The last line that begins at or before the place lies in [low, high).
    let low = 0;
    let high = starts.length;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((starts[middle] ?? 0) <= place) low = middle;
      else high = middle;
    }
    return { line: low + 1, column: place - (starts[low] ?? 0) + 1 };
  };
}
