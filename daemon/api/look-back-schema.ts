/**
 * What looks back over a recorded span, as JSON on the wire: the load survey, the bands of a chart
 * and the export. The survey's figures are held to the rules' types by the compiler.
 */
import { z } from 'zod';
import type { PartSurvey } from '../../rules/survey/boat-survey.ts';
import type { Survey } from '../../rules/survey/load-survey.ts';
import { alertSchema, panelEventSchema } from './alert-schema.ts';
import { mirrors } from './mirror.ts';

const ms = z.number().describe("Milliseconds of the daemon's clock.");
const span = {
  from: z.number().min(0).describe('First instant, ms.'),
  to: z.number().min(0).describe('Instant after the last, ms.'),
};
const ratio = z.number().describe('0..1');

/** GET /api/v1/export; answers with text, not with JSON. */
export const exportQuerySchema = z.strictObject({
  points: z
    .string()
    .min(1)
    .max(8000)
    .exactOptional()
    .describe('Point ids, separated by commas; all points of the boat where it is left out.'),
  ...span,
  format: z
    .enum(['csv', 'jsonl'])
    .default('csv')
    .describe('CSV with units in its header, or one line of JSON for each reading.'),
});
export type ExportQuery = z.infer<typeof exportQuerySchema>;

/** GET /api/v1/survey */
export const surveyQuerySchema = z.strictObject({
  from: span.from,
  to: span.to.describe('Instant after the last, ms; at most 1100 days after `from`.'),
});
export type SurveyQuery = z.infer<typeof surveyQuerySchema>;

const extreme = z.strictObject({ value: z.number(), atMs: ms });

/** What one quantity came to. Everything but `coverage` is of the known time only. */
export const surveyFiguresSchema = mirrors<Survey>()(
  z.strictObject({
    coverage: ratio.describe('Share of the whole span that readings cover, 0..1.'),
    knownMs: z.number().describe('Known time, ms.'),
    readings: z.int().min(0),
    total: z
      .number()
      .nullable()
      .describe('Unit times hours: watts give watt-hours; null when no time is known.'),
    mean: z.number().nullable(),
    least: extreme.nullable(),
    most: extreme.nullable(),
    peakDemand: z
      .strictObject({ fromMs: ms, mean: z.number(), coverage: ratio })
      .nullable()
      .describe('Highest mean of a quarter of an hour of the clock.'),
    runs: z
      .strictObject({
        runMs: z.number(),
        knownMs: z.number().describe('Time that was seen closely enough to count starts, ms.'),
        starts: z.int().min(0),
        dutyRatio: ratio.nullable(),
      })
      .nullable()
      .describe('Run time and starts; null for what does not run, such as a voltage of a bus.'),
    loadDuration: z
      .array(z.number().nullable())
      .describe('Level exceeded for each of `durationShares` of the known time.'),
  }),
);
export type SurveyFigures = z.infer<typeof surveyFiguresSchema>;

const partSurveySchema = mirrors<PartSurvey>()(
  z.strictObject({
    id: z.string(),
    label: z.string(),
    part: z.enum(['source', 'bus', 'circuit', 'battery']),
    basis: z
      .enum(['measured watts', 'amps and volts', 'amps and nominal volts'])
      .describe(
        'What the watts are made of. Without measured watts it is apparent power, an upper bound of the energy.',
      ),
    power: surveyFiguresSchema.describe('In watts; `total` in watt-hours.'),
  }),
);

export const surveyAnswerSchema = z.strictObject({
  boat: z.string(),
  fromMs: ms,
  toMs: ms,
  roughMs: z
    .number()
    .min(0)
    .describe(
      'So much of the span, ms, is told from means of quarters of an hour, because its single ' +
        'readings were deleted or have not been surveyed yet: energy and demand are right there, ' +
        'run times and starts are not counted, peaks within a quarter are flattened. Mostly 0.',
    ),
  durationShares: z.array(ratio),
  parts: z.array(partSurveySchema).describe('Every source, bus, circuit and battery measured.'),
  points: z.array(
    z.strictObject({
      id: z.string(),
      of: z.string(),
      unit: z.string(),
      values: surveyFiguresSchema.describe('In `unit`; `total` in that unit times hours.'),
    }),
  ),
});
export type SurveyAnswer = z.infer<typeof surveyAnswerSchema>;

/** GET /api/v1/bands: what a chart of readings needs beside its lines. */
export const bandsQuerySchema = z.strictObject({
  ...span,
  limit: z.int().min(1).max(2000).default(500).describe('At most so many alerts and events each.'),
});
export type BandsQuery = z.infer<typeof bandsQuerySchema>;

const alertShape = alertSchema.shape;
export const alertBandSchema = z.strictObject({
  id: alertShape.id,
  rule: alertShape.rule,
  subject: alertShape.subject,
  priority: alertShape.priority,
  title: alertShape.title,
  phase: alertShape.phase,
  fromMs: ms.describe('When it was raised; may lie before the span.'),
  toMs: ms
    .nullable()
    .describe('When what it tells of was over; null where it is not, or was not seen to be.'),
});
export type AlertBand = z.infer<typeof alertBandSchema>;

export const bandsAnswerSchema = z.strictObject({
  fromMs: ms,
  toMs: ms,
  alerts: z
    .array(alertBandSchema)
    .describe('Alerts that overlap the span, oldest first; of too many the newest.'),
  sourceEvents: z
    .array(panelEventSchema)
    .describe('`source changed`, `source live`, `source dead` in the span, oldest first.'),
  before: z
    .array(panelEventSchema)
    .describe(
      'The last `source changed` and the last of `source live` and `source dead` of each part ' +
        'before the span: how things stood when it began.',
    ),
  isComplete: z.boolean().describe('False where `limit` left something out.'),
});
export type BandsAnswer = z.infer<typeof bandsAnswerSchema>;
