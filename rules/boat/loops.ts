/** Loops in "needs" and "is fed by". Without recursion: a chain may be as long as the file. */

interface Step {
  name: string;
  rest: Iterator<string>;
}

/**
 * Loops as the names along them, in the order in which one leads to the next. At most one loop for
 * each name that closes it: a tangle has more of them than anyone can read. `nextOf` gives the
 * names that one leads to.
 */
export function loopsAmong(
  names: readonly string[],
  nextOf: (name: string) => readonly string[],
): string[][] {
  const loops: string[][] = [];
  const seen = new Set<string>();
  for (const start of names) {
    if (!seen.has(start)) walk(start, nextOf, seen, loops);
  }
  return loops;
}

function walk(
  start: string,
  nextOf: (name: string) => readonly string[],
  seen: Set<string>,
  loops: string[][],
): void {
  const trail: Step[] = [];
  const onTrail = new Set<string>();
  const enter = (name: string): void => {
    seen.add(name);
    onTrail.add(name);
    trail.push({ name, rest: nextOf(name)[Symbol.iterator]() });
  };
  const leave = (name: string): void => {
    onTrail.delete(name);
    trail.pop();
  };
  enter(start);
  for (let here = trail.at(-1); here !== undefined; here = trail.at(-1)) {
    const next = here.rest.next();
    if (next.done === true) {
      leave(here.name);
    } else if (onTrail.has(next.value)) {
      const names = trail.map((step) => step.name);
      loops.push(names.slice(names.indexOf(next.value)));
      leave(here.name);
    } else if (!seen.has(next.value)) {
      enter(next.value);
    }
  }
}

/** `a -> b -> a`, shortened in the middle when it is long. */
export function loopWords(loop: readonly string[]): string {
  const names = loop.length > 10 ? [...loop.slice(0, 8), '…', ...loop.slice(-1)] : loop;
  return [...names, loop[0] ?? ''].join(' -> ');
}
