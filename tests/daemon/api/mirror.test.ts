import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { mirrors } from '../../../daemon/api/mirror.ts';

interface Lamp {
  id: string;
  amps: number | null;
  note?: string;
}

describe('mirrors', () => {
  it('gives the schema back and compiles where the types agree', () => {
    const schema = z.strictObject({
      id: z.string(),
      amps: z.number().nullable(),
      note: z.string().exactOptional(),
    });
    expect(mirrors<Lamp>()(schema)).toBe(schema);
  });

  // The compiler is the judge here: each line must fail to compile, or `tsc` reports an unused
  // expectation.
  it('does not compile where they differ', () => {
    const missing = z.strictObject({ id: z.string(), amps: z.number().nullable() });
    // @ts-expect-error an optional field that only the type has
    mirrors<Lamp>()(missing);
    const extra = missing.extend({
      note: z.string().exactOptional(),
      colour: z.string().exactOptional(),
    });
    // @ts-expect-error an optional field that only the schema has
    mirrors<Lamp>()(extra);
    const narrower = z.strictObject({
      id: z.string(),
      amps: z.number(),
      note: z.string().exactOptional(),
    });
    // @ts-expect-error a field that is never null in the schema
    mirrors<Lamp>()(narrower);
    const looser = z.strictObject({
      id: z.string(),
      amps: z.number().nullable(),
      note: z.string().optional(),
    });
    // @ts-expect-error a field that may be present as undefined in the schema
    mirrors<Lamp>()(looser);
    expect(narrower.safeParse({ id: 'a', amps: null }).success).toBe(false);
  });
});
