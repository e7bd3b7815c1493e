/** Patterns for the names of open marine data sources: `*` is any run of characters, also none. */

/** Whether some name matches both patterns. */
export function doPatternsOverlap(a: string, b: string): boolean {
  if (!a.includes('*') && !b.includes('*')) return a === b;
  // Ends of `b` that the part of `a` read so far can stand for.
  let reached = withStars(new Set([0]), b);
  for (const sign of a) {
    const next = new Set<number>();
    for (const at of reached) {
      if (sign === '*') {
        for (let end = at; end <= b.length; end++) next.add(end);
      } else if (b[at] === '*') {
        next.add(at);
      } else if (b[at] === sign) {
        next.add(at + 1);
      }
    }
    reached = withStars(next, b);
  }
  return reached.has(b.length);
}

/** A star may stand for nothing: what reaches it reaches past it. */
function withStars(reached: Set<number>, pattern: string): Set<number> {
  // A set grows while it is walked.
  for (const at of reached) if (pattern[at] === '*') reached.add(at + 1);
  return reached;
}
