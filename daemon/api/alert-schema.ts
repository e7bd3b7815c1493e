/** Alerts and panel events as JSON on the wire, held to the rules' types by the compiler. */
import { z } from 'zod';
import type { Alert, AlertEvent } from '../../rules/alerts/alert.ts';
import type { PanelEvent } from '../../rules/watch.ts';
import { mirrors } from './mirror.ts';

const priority = z.enum(['emergency alarm', 'alarm', 'warning', 'caution']);
const putAway = { by: z.string(), atMs: z.number(), priority };

/** What an alert has only while it is so; each is absent where it is not. */
const lifeShape = {
  silenced: z
    .strictObject({ by: z.string(), atMs: z.number(), untilMs: z.number() })
    .exactOptional()
    .describe('Its sound is stopped until then. It is not acknowledged by that.'),
  shelved: z
    .strictObject({
      ...putAway,
      untilMs: z.number(),
      reason: z.string().exactOptional(),
      isWarned: z.boolean(),
    })
    .exactOptional()
    .describe(
      'Put away until then and told to nobody; judged and recorded all the same. `isWarned`: it ' +
        'ends within five minutes.',
    ),
  outOfService: z
    .strictObject({
      ...putAway,
      reason: z.string(),
      reviewAtMs: z.number(),
      nextReviewAtMs: z.number(),
    })
    .exactOptional()
    .describe('As shelved, without an end; `reviewAtMs`: when somebody wants to look at it again.'),
  escalation: z
    .strictObject({ step: z.int().min(0), nextAtMs: z.number() })
    .exactOptional()
    .describe(
      'How often it was told again because nobody acknowledges: 1 sound again, 2 second person, ' +
        '3 and above everybody.',
    ),
  reAlarmAtMs: z
    .number()
    .exactOptional()
    .describe('Acknowledged, it becomes unacknowledged again then, if it stands so long.'),
  chattering: z
    .strictObject({
      sinceMs: z.number(),
      times: z.int(),
      quietSinceMs: z.number().nullable(),
    })
    .exactOptional()
    .describe('It comes and goes; it is kept raised until it has been quiet for five minutes.'),
  inFlood: z
    .string()
    .exactOptional()
    .describe('Id of the notice of many alerts at once in which it is told.'),
  ended: z
    .strictObject({
      why: z.enum([
        'told with its cause',
        'not told in this mode',
        'no longer watched',
        'lost in a restart',
      ]),
      cause: z.string().exactOptional().describe('Id of the alert that tells it.'),
    })
    .exactOptional()
    .describe('Why it closed, where its condition was not simply over.'),
};

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
    needsInspection: z
      .literal(true)
      .exactOptional()
      .describe('Over and acknowledged, it stays `latched` until `inspected`.'),
    id: z.string(),
    phase: z
      .enum(['unacknowledged', 'acknowledged', 'returned', 'latched', 'closed'])
      .describe(
        '`latched`: over and acknowledged, and nobody has said yet that they looked at it.',
      ),
    sinceMs: z.number(),
    raisedAtMs: z.number(),
    acknowledgedAtMs: z.number().nullable(),
    acknowledgedBy: z.string().nullable(),
    returnedAtMs: z.number().nullable(),
    isHeld: z.boolean(),
    symptoms: z.array(z.strictObject({ key: z.string(), title: z.string() })),
    mode: z.enum(['aboard', 'away', 'under way', 'work in progress']),
    ...lifeShape,
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
      'silenced',
      'silence over',
      'shelved',
      'shelving ends soon',
      'unshelved',
      'out of service',
      'review due',
      'back in service',
      'escalated',
      're-alarmed',
      'chattering',
      'symptom joined',
      'taken up',
      'inspected',
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
