/** Part of the contract: ways out of the boat, and browsers that want to be told. */
import { z } from 'zod';

const ms = z.number().describe('Milliseconds, UTC.');

export const wayStateSchema = z.strictObject({
  id: z.string(),
  kind: z.string(),
  waiting: z.int().min(0).describe('Messages that have not gone yet.'),
  givenUp: z.int().min(0),
  lastSentAtMs: ms.nullable(),
  lastAnswer: z.string().nullable().describe('What the other end said then.'),
  lastTriedAtMs: ms.nullable(),
  lastProblem: z.string().nullable().describe('Of the last try; null if that went well.'),
  failingSinceMs: ms.nullable(),
});

export const waysAnswerSchema = z.strictObject({
  ways: z.array(wayStateSchema),
  pushKey: z.string().nullable().describe('For browsers that subscribe; null: no way is by push.'),
  contacts: z
    .array(z.strictObject({ id: z.string(), name: z.string() }))
    .describe('Who is told, for a browser to say whose it is.'),
});
export type WaysAnswer = z.infer<typeof waysAnswerSchema>;

export const wayParamsSchema = z.strictObject({ id: z.string().min(1).max(40) });

export const wayTestAnswerSchema = z.strictObject({
  isDelivered: z.boolean(),
  says: z.string().describe('Whole sentence: what the other end said, or what stood in the way.'),
});
export type WayTestAnswer = z.infer<typeof wayTestAnswerSchema>;

const endpoint = z.url({ protocol: /^https$/, hostname: /\./ }).max(1000);
/** URL-safe base64 of as many characters as so many bytes need. */
const base64 = (characters: number) =>
  z.string().regex(new RegExp(`^[A-Za-z0-9_-]{${characters}}={0,2}$`), 'must be URL-safe base64');

/** As `PushSubscription.toJSON()` gives it: a point of P-256 and 16 bytes. */
export const pushBodySchema = z.strictObject({
  endpoint,
  keys: z.strictObject({ p256dh: base64(87), auth: base64(22) }),
  contact: z.string().min(1).max(40),
});

export const pushEndBodySchema = z.strictObject({ endpoint });

export const pushAnswerSchema = z.strictObject({ isSubscribed: z.boolean() });
