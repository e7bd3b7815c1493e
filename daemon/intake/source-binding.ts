/** Which of several sources on one open marine data path a point listens to. */
import type { PointId } from '../../rules/index.ts';

export type SourceVerdict =
  | 'taken'
  /** The point has a pattern, and the source does not match it. */
  | 'other source'
  /** The point has no pattern and already listens to another source. */
  | 'second source';

export interface SourceBinding {
  /** `isNew` is true once for each further source that a pattern lets in. */
  bind(
    pointId: PointId,
    pattern: string | undefined,
    source: string,
  ): { verdict: SourceVerdict; isFurther: boolean };
}

/** Sources remembered for one point; servers rename theirs, and a stranger may invent some. */
const MOST_SOURCES = 16;

export function createSourceBinding(): SourceBinding {
  const sourcesByPoint = new Map<PointId, Set<string>>();
  return {
    bind(pointId, pattern, source) {
      if (pattern !== undefined && !matchesPattern(pattern, source)) {
        return { verdict: 'other source', isFurther: false };
      }
      const sources = sourcesByPoint.get(pointId) ?? new Set<string>();
      sourcesByPoint.set(pointId, sources);
      if (sources.has(source)) return { verdict: 'taken', isFurther: false };
      const isFirst = sources.size === 0;
      if (!isFirst && (pattern === undefined || sources.size >= MOST_SOURCES)) {
        return { verdict: 'second source', isFurther: false };
      }
      sources.add(source);
      return { verdict: 'taken', isFurther: !isFirst };
    },
  };
}

/** `*` stands for any run of characters, also none; everything else for itself. */
export function matchesPattern(pattern: string, text: string): boolean {
  const [head = '', ...rest] = pattern.split('*');
  const tail = rest.pop();
  if (tail === undefined) return pattern === text;
  if (!text.startsWith(head)) return false;
  let at = head.length;
  for (const piece of rest) {
    const found = text.indexOf(piece, at);
    if (found < 0) return false;
    at = found + piece.length;
  }
  return text.length - at >= tail.length && text.endsWith(tail);
}
