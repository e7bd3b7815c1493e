/** Alerts and panel events as JSON on the wire, held to the rules' types by the compiler. */
import { z } from 'zod';
import type { Alert, AlertEvent } from '../../rules/alerts/alert.ts';
import type { PanelEvent } from '../../rules/watch.ts';
import { mirrors } from './mirror.ts';

const priority = z.enum(['emergency alarm', 'alarm', 'warning', 'caution']);

export const alertSchema = mirrors<Alert>()(
  z.strictObject({
    rule: z.string(),
    subject: z.strictObject({
      part: z.string(),
      leg: z.string().exactOptional(),
      point: z.string().exactOptional(),
    }),
    priority,
    title: z.string(),
    means: z.string(),
    doThis: z.string(),
    cautions: z.array(z.string()),
    evidence: z.array(
      z.strictObject({
        what: z.string(),
        value: z.number().nullable(),
        threshold: z.number().nullable(),
        unit: z.string(),
      }),
    ),
    confidence: z.enum(['measured', 'inferred']),
    points: z.array(z.string()),
    id: z.string(),
    phase: z.enum(['unacknowledged', 'acknowledged', 'returned', 'closed']),
    sinceMs: z.number(),
    raisedAtMs: z.number(),
    acknowledgedAtMs: z.number().nullable(),
    acknowledgedBy: z.string().nullable(),
    returnedAtMs: z.number().nullable(),
    isHeld: z.boolean(),
    symptoms: z.array(z.strictObject({ key: z.string(), title: z.string() })),
    mode: z.enum(['aboard', 'away', 'under way', 'work in progress']),
  }),
);

export const alertEventSchema = mirrors<AlertEvent>()(
  z.strictObject({
    seq: z.number(),
    atMs: z.number(),
    alertId: z.string(),
    type: z.enum([
      'raised',
      'acknowledged',
      'returned',
      'closed',
      'folded',
      'held',
      'resumed',
      'priority changed',
    ]),
    actor: z.string(),
    alert: alertSchema,
  }),
);

export const panelEventSchema = mirrors<PanelEvent>()(
  z.strictObject({
    atMs: z.number(),
    type: z.enum([
      'source changed',
      'position changed',
      'source live',
      'source dead',
      'stated',
      'mode changed',
    ]),
    part: z.string(),
    text: z.string(),
    said: z
      .union([
        z.strictObject({
          by: z.string(),
          mode: z.enum(['aboard', 'away', 'under way', 'work in progress']),
          untilMs: z.number().nullable(),
        }),
        z.strictObject({ by: z.string(), position: z.string().nullable() }),
      ])
      .exactOptional(),
    feed: z
      .strictObject({ by: z.string(), before: z.string() })
      .exactOptional()
      .describe('Of `source changed`: the parts that feed the bus from then on, and did before.'),
  }),
);
