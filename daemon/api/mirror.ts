/**
 * Holds a zod schema to a type that stands elsewhere, at compile time and both ways: a field that
 * only one of them has, or has with another type, does not compile.
 */
import type { z } from 'zod';

/**
 * True only when A and B are the same type, optional and nullable parts included. Two generic
 * functions compare as the same only if their conditions are; plain assignability both ways would
 * let an optional field slip that only one side has.
 */
/* oxlint-disable typescript/no-unnecessary-type-parameters -- the parameter is the comparison */
export type Same<A, B> =
  (<T>() => T extends A ? 1 : 2) extends <T>() => T extends B ? 1 : 2 ? true : false;
/* oxlint-enable typescript/no-unnecessary-type-parameters */

/**
 * `mirrors<Alert>()(z.strictObject({ ... }))` gives the schema back unchanged, and compiles only
 * if what it infers is exactly `Alert`.
 */
export function mirrors<Expected>(): <Schema extends z.ZodType>(
  schema: Schema & (Same<Flat<z.infer<Schema>>, Flat<Expected>> extends true ? Schema : never),
) => Schema {
  return (schema) => schema;
}

/**
 * Interfaces that extend each other and literal objects compare as different even with the same
 * fields; written out field by field, at every depth, they compare as what they are.
 */
type Flat<T> = T extends object ? { [K in keyof T]: Flat<T[K]> } : T;
