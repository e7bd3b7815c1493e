/** What a client of the open marine data server may say, read without trust. Never throws. */
import * as z from 'zod';
import type { Row } from './subscriptions.ts';

/** Defaults of the published specification. */
const DEFAULT_PERIOD_MS = 1000;
const DEFAULT_MIN_PERIOD_MS = 200;
const MOST_ROWS = 500;

const rowSchema = z.object({
  path: z.string().min(1).max(256),
  period: z.number().positive().max(86_400_000).optional(),
  policy: z.enum(['instant', 'ideal', 'fixed']).optional(),
  minPeriod: z.number().nonnegative().max(86_400_000).optional(),
});

const messageSchema = z.object({
  context: z.string().max(256).optional(),
  subscribe: z.array(rowSchema).max(MOST_ROWS).optional(),
  unsubscribe: z
    .array(z.object({ path: z.string().max(256) }))
    .max(MOST_ROWS)
    .optional(),
  requestId: z.string().max(256).optional(),
  put: z.unknown().optional(),
});

export interface ClientMessage {
  subscribe: Row[];
  unsubscribe: { context: string; path: string }[];
  /** A request to change a value, by its id: this boat cannot be switched. */
  refusedRequest: string | null;
}

/** Null: not a message that this server understands. `self` is the vessel's full context. */
export function readClientMessage(text: string, self: string): ClientMessage | null {
  const parsed = messageSchema.safeParse(parseJson(text));
  if (!parsed.success) return null;
  const {
    context = 'vessels.self',
    subscribe = [],
    unsubscribe = [],
    requestId,
    put,
  } = parsed.data;
  const full = context === 'vessels.self' ? self : context;
  return {
    subscribe: subscribe.map((row) => rowOf(full, row)),
    unsubscribe: unsubscribe.map(({ path }) => ({ context: full, path })),
    refusedRequest: put === undefined ? null : (requestId ?? ''),
  };
}

function rowOf(context: string, row: z.infer<typeof rowSchema>): Row {
  const ofSource = /^(.+)\.values\[(.+)\]$/.exec(row.path);
  const [, path = row.path, source] = ofSource ?? [];
  return {
    context,
    path,
    ...(source === undefined ? {} : { $source: source }),
    policy: row.policy ?? 'ideal',
    periodMs: row.period ?? DEFAULT_PERIOD_MS,
    minPeriodMs: row.minPeriod ?? DEFAULT_MIN_PERIOD_MS,
  };
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
