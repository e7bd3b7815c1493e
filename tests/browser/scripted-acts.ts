/** What the scripted boat does when somebody acts on an alert; bodies are held to the contract. */
import type { IncomingMessage } from 'node:http';
import {
  acknowledgeBodySchema,
  outOfServiceBodySchema,
  personBodySchema,
  shelveBodySchema,
} from '../../daemon/api/contract.ts';
import type { Alert, AlertEvent } from '../../daemon/api/contract.ts';
import type { ScriptedBoat } from './scripted-boat.ts';

interface Done {
  type: AlertEvent['type'];
  by: string;
  alert: Alert;
}

type Act = (alert: Alert, body: unknown, atMs: number) => Done;

function without(alert: Alert, name: 'shelved' | 'outOfService'): Alert {
  const rest = { ...alert };
  delete rest[name];
  return rest;
}

const ACTS: Record<string, Act> = {
  acknowledge: (alert, body, atMs) => {
    const { by } = acknowledgeBodySchema.parse(body);
    const phase = alert.phase === 'returned' ? 'closed' : 'acknowledged';
    const next: Alert = { ...alert, phase, acknowledgedAtMs: atMs, acknowledgedBy: by };
    return { type: 'acknowledged', by, alert: next };
  },
  silence: (alert, body, atMs) => {
    const { by } = personBodySchema.parse(body);
    const silenced = { by, atMs, untilMs: atMs + 300_000 };
    return { type: 'silenced', by, alert: { ...alert, silenced } };
  },
  shelve: (alert, body, atMs) => {
    const { by, ...end } = shelveBodySchema.parse(body);
    const shelved = { ...end, by, atMs, priority: alert.priority, isWarned: false };
    return { type: 'shelved', by, alert: { ...alert, shelved } };
  },
  unshelve: (alert, body) => {
    const { by } = personBodySchema.parse(body);
    return { type: 'unshelved', by, alert: without(alert, 'shelved') };
  },
  'out-of-service': (alert, body, atMs) => {
    const { by, reason, reviewAtMs } = outOfServiceBodySchema.parse(body);
    const { priority } = alert;
    const own = { by, atMs, reason, reviewAtMs, nextReviewAtMs: reviewAtMs, priority };
    return { type: 'out of service', by, alert: { ...alert, outOfService: own } };
  },
  'in-service': (alert, body) => {
    const { by } = personBodySchema.parse(body);
    return { type: 'back in service', by, alert: without(alert, 'outOfService') };
  },
  inspected: (alert, body) => {
    const { by } = personBodySchema.parse(body);
    return { type: 'inspected', by, alert: { ...alert, phase: 'closed' } };
  },
};

async function bodyOf(request: IncomingMessage): Promise<unknown> {
  const chunks: Buffer[] = [];
  for await (const chunk of request) chunks.push(Buffer.from(chunk));
  return JSON.parse(Buffer.concat(chunks).toString('utf8'));
}

/** The answer to a POST on an alert; null where the path is none. */
export async function answerAct(boat: ScriptedBoat, path: string, request: IncomingMessage) {
  const [, id, name] = /^\/alerts\/([^/]+)\/([a-z-]+)$/.exec(path) ?? [];
  const act = ACTS[name ?? ''];
  if (id === undefined || act === undefined) return null;
  const alert = boat.open.get(decodeURIComponent(id));
  if (alert === undefined) {
    return { status: 404, body: { error: { message: 'There is no such open alert.' } } };
  }
  const done = act(alert, await bodyOf(request), boat.atMs);
  if (done.type === 'acknowledged') boat.acknowledgements.push({ id: alert.id, by: done.by });
  boat.tell(done.type, done.alert, done.by);
  return { status: 200, body: { alert: done.alert } };
}
