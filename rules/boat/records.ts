/** Objects by key, with the types that `Object.keys` and its kin give up. */

/** Keys without a value taken out: `boat.ts` has them absent, never undefined. */
export type Given<T> = {
  [Key in keyof T as undefined extends T[Key] ? never : Key]: T[Key];
} & {
  [Key in keyof T as undefined extends T[Key] ? Key : never]?: Exclude<T[Key], undefined>;
};

export function given<T extends object>(values: T): Given<T> {
  const entries = Object.entries(values).filter(([, value]) => value !== undefined);
  // oxlint-disable-next-line typescript/no-unsafe-type-assertion -- the keys left are those of T.
  return Object.fromEntries(entries) as Given<T>;
}

/** The keys of a record that is written down in the code, and so has no others. */
export function namesOf<Name extends string>(record: Readonly<Record<Name, unknown>>): Name[] {
  // oxlint-disable-next-line typescript/no-unsafe-type-assertion -- see above.
  return Object.keys(record) as Name[];
}

/** A record of the same keys. */
export function mapRecord<Name extends string, From, To>(
  record: Readonly<Record<Name, From>>,
  change: (value: From) => To,
): Record<Name, To> {
  const entries = namesOf(record).map((name) => [name, change(record[name])] as const);
  // oxlint-disable-next-line typescript/no-unsafe-type-assertion -- one entry for each key.
  return Object.fromEntries(entries) as Record<Name, To>;
}

export function isRecord(value: unknown): value is Record<PropertyKey, unknown> {
  return typeof value === 'object' && value !== null;
}
