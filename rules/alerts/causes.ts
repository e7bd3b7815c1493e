/** Which cause tells a symptom. */
import type { Symptom } from './alert.ts';

/** A cause that stands, and what of its symptoms holds. */
export interface Cause {
  key: string;
  /** Its place among the causes of this evaluation: the first speaks for a shared symptom. */
  place: number;
  symptoms: Symptom[];
}

/** Names are keys, or beginnings of keys up to a dot: a rule, or a rule and its subject. */
export function causeThatCovers(
  causeOf: ReadonlyMap<string, Cause>,
  key: string,
): Cause | undefined {
  let first = causeOf.get(key);
  for (let dot = key.indexOf('.'); dot >= 0; dot = key.indexOf('.', dot + 1)) {
    const own = causeOf.get(key.slice(0, dot));
    if (own && (!first || own.place < first.place)) first = own;
  }
  return first;
}
