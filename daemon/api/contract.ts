/**
 * The HTTP contract between the daemon and the page: every request and every answer as a zod
 * schema with its type. The page imports the types only; the server makes its JSON schemas from the
 * same lines.
 *
 * Every instant, in questions and answers alike, is in milliseconds of the daemon's clock, which
 * never steps. It looks like UTC and mostly is: UTC = instant + `clock.utcOffsetMs` of the health, one
 * number for all instants, those of earlier starts included (the store has put them on the present
 * axis). It is not 0 where the wall clock was wrong at start or has jumped since. Whoever shows a
 * time of day adds it last of all; whoever takes one from a person subtracts it first. Only text for
 * other programs (the export) is UTC already.
 */
import { z } from 'zod';
import type { AcSystem, DcSystem } from '../../rules/boat/boat.ts';
import { alertEventSchema, alertSchema, panelEventSchema } from './alert-schema.ts';
import { mirrors } from './mirror.ts';
import { panelStateSchema, pointStateSchema } from './panel-schema.ts';

export { alertEventSchema, alertSchema, panelEventSchema } from './alert-schema.ts';
export { panelStateSchema, pointStateSchema } from './panel-schema.ts';
export type { Alert, AlertEvent, AlertPhase, Evident, Priority } from '../../rules/alerts/alert.ts';
export type { AcSystem, DcSystem, Quantity } from '../../rules/boat/boat.ts';
export type {
  BatteryState,
  BusState,
  CircuitState,
  Contradiction,
  Known,
  LegState,
  MainSwitchState,
  PanelState,
  PointState,
  SelectorState,
  SourceState,
} from '../../rules/panel/panel-state.ts';
export type { PanelEvent } from '../../rules/watch.ts';
export * from './access-schema.ts';
export * from './look-back-schema.ts';
export * from './post-schema.ts';
export type { WhyDead } from '../../rules/why-dead/answer.ts';
export { whyDeadSchema } from './why-dead-schema.ts';
export type { LoadAnswer, LoadPlan, LoadVerdict, SourceRoom } from '../../rules/switching/plan.ts';
export { loadPlanSchema } from './load-plan-schema.ts';

const ms = z.number().describe("Milliseconds of the daemon's clock.");
const count = z.int().min(0);

/** Every answer that is not a success. */
export const errorAnswerSchema = z.strictObject({
  error: z.strictObject({
    message: z.string().describe('Whole sentence: what was wrong and where.'),
    expected: z.string().exactOptional(),
    found: z.string().exactOptional(),
    needs: z
      .enum(['set-up', 'sign-in', 'password again', 'another role'])
      .exactOptional()
      .describe('What has to be done before it is allowed.'),
  }),
});
export type ErrorAnswer = z.infer<typeof errorAnswerSchema>;

/** GET /api/v1/alerts */
export const alertsQuerySchema = z.strictObject({
  phase: z
    .enum(['open', 'past', 'all'])
    .default('open')
    .describe(
      '`open`: not closed yet, most urgent first. `past`: closed. `past` and `all`: newest first.',
    ),
  limit: z.int().min(1).max(1000).default(100),
  before: z.number().min(0).exactOptional().describe('Only alerts raised before this instant, ms.'),
  text: z
    .string()
    .trim()
    .min(1)
    .max(100)
    .exactOptional()
    .describe('Only alerts whose words hold all of these words, in any order and case.'),
  priority: alertSchema.shape.priority.exactOptional(),
  rule: z
    .string()
    .min(1)
    .max(60)
    .exactOptional()
    .describe('Only alerts of this rule, by its name.'),
  subject: z
    .string()
    .min(1)
    .max(60)
    .exactOptional()
    .describe('Only alerts about this part or point, by its id.'),
});
export type AlertsQuery = z.infer<typeof alertsQuerySchema>;
export const alertsAnswerSchema = z.strictObject({ alerts: z.array(alertSchema) });
export type AlertsAnswer = z.infer<typeof alertsAnswerSchema>;

/** GET /api/v1/alerts/:id; ids hold `/`, `:` and `#`, so they travel percent-encoded. */
export const alertParamsSchema = z.strictObject({ id: z.string().min(1).max(300) });
export const alertAnswerSchema = z.strictObject({
  alert: alertSchema,
  events: z.array(alertEventSchema).describe('Oldest first.'),
});
export type AlertAnswer = z.infer<typeof alertAnswerSchema>;

/** Who says or does something, as it will stand in the record. */
const personSchema = z
  .string()
  .trim()
  .min(1)
  .max(60)
  .regex(/^[^\p{Cc}]*$/u, 'no control characters');

/** POST /api/v1/alerts/:id/acknowledge */
export const acknowledgeBodySchema = z.strictObject({
  by: personSchema.describe('Who acknowledges, as it will stand in the record.'),
});
export type AcknowledgeBody = z.infer<typeof acknowledgeBodySchema>;
export const acknowledgeAnswerSchema = z.strictObject({ alert: alertSchema });
export type AcknowledgeAnswer = z.infer<typeof acknowledgeAnswerSchema>;

/**
 * POST /api/v1/alerts/:id/silence, /unshelve, /in-service and /inspected. All acts on an alert
 * answer as acknowledging does, and with 409 and a sentence where they are refused.
 *
 * `silence` stops the sound of a standing alert that is not acknowledged: 30 s, a warning 5 min.
 * `inspected` closes a `latched` alert, or a `returned` one with `needsInspection`.
 */
export const personBodySchema = z.strictObject({
  by: personSchema.describe('Who does it, as it will stand in the record.'),
});
export type PersonBody = z.infer<typeof personBodySchema>;

const reasonSchema = z
  .string()
  .trim()
  .min(1)
  .max(300)
  .regex(/^[^\p{Cc}]*$/u, 'no control characters');

/**
 * POST /api/v1/alerts/:id/shelve. At most 8 hours; 4 for an emergency alarm and for whatever has
 * `needsInspection`. Shelving what is shelved sets a new end, from now. `shelved.isWarned` turns
 * true five minutes before the end, with the event `shelving ends soon`.
 */
export const shelveBodySchema = z.strictObject({
  untilMs: z.number().min(0).describe("When it comes back by itself, ms of the daemon's clock."),
  reason: reasonSchema.exactOptional(),
  by: personSchema.describe('Who shelves it, as it will stand in the record.'),
});
export type ShelveBody = z.infer<typeof shelveBodySchema>;

/** POST /api/v1/alerts/:id/out-of-service. Never an emergency alarm; back by `/in-service`. */
export const outOfServiceBodySchema = z.strictObject({
  reason: reasonSchema.describe('Why, as it will stand in the record.'),
  reviewAtMs: z
    .number()
    .min(0)
    .describe('When somebody shall look at it again: within 90 days; a reminder, not an end.'),
  by: personSchema.describe('Who takes it out of service, as it will stand in the record.'),
});
export type OutOfServiceBody = z.infer<typeof outOfServiceBodySchema>;

/** GET /api/v1/events */
export const eventsQuerySchema = z.strictObject({
  from: z.number().min(0).exactOptional().describe('First instant, ms.'),
  to: z.number().min(0).exactOptional().describe('Instant after the last, ms.'),
  limit: z.int().min(1).max(1000).default(100),
});
export type EventsQuery = z.infer<typeof eventsQuerySchema>;
export const eventsAnswerSchema = z.strictObject({
  events: z.array(panelEventSchema).describe('Newest first.'),
});
export type EventsAnswer = z.infer<typeof eventsAnswerSchema>;

/** POST /api/v1/mode */
export const modeBodySchema = z.strictObject({
  mode: z.enum(['aboard', 'away', 'under way', 'work in progress']),
  untilMs: z
    .number()
    .min(0)
    .exactOptional()
    .describe(
      'When it ends and the boat is `aboard` again. Work in progress needs one, within 24 hours.',
    ),
  by: personSchema.describe('Who says so, as it will stand in the record.'),
});
export type ModeBody = z.infer<typeof modeBodySchema>;

/** POST /api/v1/statements */
export const statementBodySchema = z.strictObject({
  part: z.string().min(1).max(60).describe('Id of a selector or a main switch.'),
  position: z
    .string()
    .min(1)
    .max(100)
    .nullable()
    .describe(
      'Name of a position of the selector, or `closed` or `open`; null takes back what was said.',
    ),
  by: personSchema.describe('Who says so, as it will stand in the record.'),
});
export type StatementBody = z.infer<typeof statementBodySchema>;

/** Answer to both: what was recorded. The panel shows it from the next evaluation on. */
export const saidAnswerSchema = z.strictObject({ events: z.array(panelEventSchema) });
export type SaidAnswer = z.infer<typeof saidAnswerSchema>;

/** GET /api/v1/points */
export const pointDescriptionSchema = z.strictObject({
  id: z.string(),
  label: z.string().describe('For a person: what it measures, where.'),
  of: z.string(),
  leg: z.string().nullable(),
  quantity: z.enum([
    'volts',
    'amps',
    'watts',
    'hertz',
    'powerFactor',
    'stateOfCharge',
    'celsius',
    'position',
    'switch',
  ]),
  unit: z.string(),
  expectedEveryMs: z.number(),
});
export type PointDescription = z.infer<typeof pointDescriptionSchema>;
export const pointsAnswerSchema = z.strictObject({ points: z.array(pointDescriptionSchema) });
export type PointsAnswer = z.infer<typeof pointsAnswerSchema>;

/** GET /api/v1/history */
export const historyQuerySchema = z.strictObject({
  points: z.string().min(1).max(8000).describe('Point ids, separated by commas; at most 64.'),
  from: z.number().min(0).describe('First instant, ms.'),
  to: z.number().min(0).describe('Instant after the last, ms.'),
  buckets: z.int().min(1).max(4000).default(600).describe('At most so many per series.'),
});
export type HistoryQuery = z.infer<typeof historyQuerySchema>;
/** Start of the bucket (ms), least, greatest and mean of its readings, how many, and the share known. */
export const bucketSchema = z.tuple([
  z.number().describe('Start of the bucket, ms.'),
  z.number().describe('Least reading.'),
  z.number().describe('Greatest reading.'),
  z.number().describe('Arithmetic mean of the readings.'),
  z.int().min(1).describe('How many readings.'),
  z.number().min(0).max(1).describe('Coverage: share of the bucket in which a value was known.'),
]);
export type Bucket = z.infer<typeof bucketSchema>;
export const historyAnswerSchema = z.strictObject({
  fromMs: ms,
  toMs: ms,
  bucketMs: z.number().describe('Width of every bucket; the last one may reach past `toMs`.'),
  series: z.array(
    z.strictObject({
      pointId: z.string(),
      unit: z.string(),
      buckets: z
        .array(bucketSchema)
        .describe('In order of time; a bucket without readings is left out.'),
    }),
  ),
});
export type HistoryAnswer = z.infer<typeof historyAnswerSchema>;

/** GET /api/v1/boat */
const acSystemSchema = mirrors<AcSystem>()(
  z.strictObject({
    kind: z.enum(['single phase', 'split phase']),
    volts: z.number(),
    hertz: z.number(),
    legs: z.array(z.string()),
  }),
);
const dcSystemSchema = mirrors<DcSystem>()(z.strictObject({ volts: z.number() }));
export const boatAnswerSchema = z.strictObject({
  name: z.string(),
  system: z.strictObject({ ac: acSystemSchema.nullable(), dc: dcSystemSchema.nullable() }),
  version: z.string(),
  startedAtMs: ms,
  speed: z.number().describe('How many seconds of the boat pass in one real second; 1 aboard.'),
  isDemo: z.boolean(),
  scenario: z.string().nullable(),
});
export type BoatAnswer = z.infer<typeof boatAnswerSchema>;

/** Part of GET /api/v1/health: what came in, what was refused and why. */
export const intakeHealthSchema = z.strictObject({
  mqtt: z.strictObject({
    mode: z.enum(['embedded', 'client']),
    address: z.string(),
    isConnected: z.boolean(),
    clients: count.nullable(),
    messages: count,
    readings: count,
  }),
  marineData: z
    .strictObject({
      url: z.string(),
      isConnected: z.boolean(),
      frames: count,
      readings: count,
      repeated: count.describe('Values sent again with the same time: ordinary, taken once.'),
      lastError: z.string().nullable(),
    })
    .nullable(),
  refused: z.array(
    z.strictObject({
      reason: z.string(),
      count,
      lastTopic: z.string().nullable(),
      lastAtMs: ms.nullable(),
    }),
  ),
  unmapped: z.array(z.strictObject({ address: z.string(), count })),
});
export type IntakeHealth = z.infer<typeof intakeHealthSchema>;

/** Part of GET /api/v1/health: what is on the disk and what still waits for it. */
export const storeHealthSchema = z.strictObject({
  isWritable: z.boolean(),
  alertsFile: z.string(),
  historyFile: z.string(),
  bytes: count,
  readingsStored: count.describe('Since start.'),
  readingsBuffered: count,
  readingsLost: count.describe('Since start: readings that no disk will ever see.'),
  lastFlushAtMs: ms.nullable(),
  lastError: z.string().nullable().describe('What the disk said last, while it refuses.'),
  freeBytes: count.nullable().describe('Of the file system, for this user.'),
  totalBytes: count.nullable().describe('Size of the file system.'),
  space: z
    .enum(['enough', 'little', 'scarce', 'full'])
    .describe('`scarce`: old readings are deleted; `full`: readings are not written any more.'),
  filesSetAside: count.describe('Broken files that were set aside and are still there.'),
  problems: z.array(z.string()).describe('Whole sentences.'),
});
export type StoreHealth = z.infer<typeof storeHealthSchema>;

/** Part of GET /api/v1/health: what the wall clock is worth. */
export const clockHealthSchema = z.strictObject({
  quality: z
    .enum(['unverified', 'synchronised', 'corrected'])
    .describe('Whether a time server vouches for UTC; `corrected`: it was wrong at first.'),
  utcOffsetMs: z
    .number()
    .describe(
      'Add it to any instant of this API to get UTC, ms; mostly 0. It can change while running.',
    ),
  boots: count.describe('Starts that the record knows.'),
  says: z.string().describe('The same in a whole sentence.'),
});
export type ClockHealth = z.infer<typeof clockHealthSchema>;

/** GET /healthz, and the `health` event of the live stream (there always with `problems`). */
export const statusSchema = z.enum(['ok', 'degraded']);
export const healthEventSchema = z.strictObject({
  status: statusSchema,
  problems: z.array(z.string()),
  utcOffsetMs: z.number().describe('As in `clock` of the health; told anew whenever it changes.'),
});
export type HealthEvent = z.infer<typeof healthEventSchema>;
export const healthzAnswerSchema = z.strictObject({
  status: statusSchema,
  problems: z.array(z.string()).exactOptional(),
});
export type HealthzAnswer = z.infer<typeof healthzAnswerSchema>;

/** Part of GET /api/v1/health: what becomes of the beats that leave the boat. */
export const heartbeatHealthSchema = z.strictObject({
  to: z.string().describe('Where they go, without its path.'),
  everySeconds: count,
  sent: count.describe('Since start.'),
  heard: count,
  failed: count.describe('They are not sent again; the next one carries the newer state.'),
  lastHeardAtMs: ms.nullable(),
  lastProblem: z.string().nullable().describe('Why the last one was not heard.'),
});
export type HeartbeatHealth = z.infer<typeof heartbeatHealthSchema>;

/** GET /api/v1/health */
export const healthAnswerSchema = z.strictObject({
  status: statusSchema,
  version: z.string(),
  nowMs: ms,
  startedAtMs: ms,
  problems: z.array(z.string()).describe('Whole sentences; empty when all is well.'),
  points: z.array(pointStateSchema),
  intake: intakeHealthSchema,
  store: storeHealthSchema,
  clock: clockHealthSchema,
  heartbeat: heartbeatHealthSchema
    .exactOptional()
    .describe('Absent where nobody outside is to hear of her.'),
  evaluation: z.strictObject({
    lastAtMs: ms.nullable(),
    count,
    lastTookMs: z.number().nullable().describe('Real milliseconds that the last one took.'),
  }),
});
export type HealthAnswer = z.infer<typeof healthAnswerSchema>;

/** GET /api/v1/live: the server-sent events by name, with what each carries as JSON. */
export const liveEventSchemas = {
  panel: panelStateSchema,
  alerts: alertsAnswerSchema,
  alert: alertEventSchema,
  event: panelEventSchema,
  health: healthEventSchema,
} as const;
export type LiveEventName = keyof typeof liveEventSchemas;
export type LiveEvent = {
  [Name in LiveEventName]: { name: Name; carries: z.infer<(typeof liveEventSchemas)[Name]> };
}[LiveEventName];
