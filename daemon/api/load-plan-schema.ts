/** The load plan on the wire; the rules own the type. */
import { z } from 'zod';
import type { LoadPlan } from '../../rules/switching/plan.ts';
import { mirrors } from './mirror.ts';

const ids = z.array(z.string());

export const loadPlanSchema = mirrors<LoadPlan>()(
  z.strictObject({
    atMs: z.number(),
    rooms: z
      .array(
        z.strictObject({
          source: z.string(),
          legs: z.array(
            z.strictObject({
              leg: z.string(),
              ampsRated: z.number(),
              ampsNow: z.number().nullable(),
              ampsReserved: z.number().describe('What may come on by itself, besides.'),
              ampsRoom: z
                .number()
                .nullable()
                .describe('What may still be added for any length of time; null: not known.'),
            }),
          ),
          reservedFor: ids.describe('Circuits that may come on by themselves.'),
        }),
      )
      .describe('AC sources that are known to feed a bus.'),
    answers: z
      .array(
        z.strictObject({
          circuit: z.string(),
          appliance: z.string().nullable().describe("Null: the circuit's own load."),
          label: z.string(),
          legs: z.array(z.string()),
          amps: z.number().describe('Reckoned with on each leg.'),
          from: z.enum(['learned', 'boat file', 'breaker']),
          startAmps: z.number(),
          source: z.string().nullable(),
          verdict: z.enum([
            'fits',
            'fits if off',
            'does not fit',
            'stays off',
            'no voltage',
            'not known',
          ]),
          ifOff: ids.describe('Circuits that must be off and stay off.'),
          first: ids.describe('Circuits that it requires and that do not run yet.'),
          because: z.string().describe('One whole sentence.'),
        }),
      )
      .describe(
        'Every circuit that does not run, and every appliance, in the order of the boat file.',
      ),
  }),
);
