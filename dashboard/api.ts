/** Requests to the daemon. A failure is a value with a sentence for the person, never a throw. */
import type {
  AcknowledgeAnswer,
  AlertAnswer,
  AlertsAnswer,
  AuditAnswer,
  BandsAnswer,
  BoatAnswer,
  ErrorAnswer,
  EventsAnswer,
  HealthAnswer,
  HistoryAnswer,
  LoadPlan,
  ModeBody,
  OutOfServiceBody,
  PasswordBody,
  PanelState,
  PersonBody,
  PersonsAnswer,
  PointsAnswer,
  Priority,
  SaidAnswer,
  SessionsAnswer,
  SetUpBody,
  ShelveBody,
  SignInBody,
  StatementBody,
  SurveyAnswer,
  VisitorAnswer,
  WaysAnswer,
  WayTestAnswer,
  WhyDead,
} from '../daemon/api/contract.ts';
import { signal } from '@preact/signals';
import type { QuickAct } from './models/alert-acts.ts';
import type { Stretch } from './models/stretch.ts';
import { texts } from './texts.ts';
import { fromWire } from './wire.ts';

export type Answer<T> = { ok: true; answer: T } | { ok: false; problem: string };

/** What the boat wanted first when it refused something last: a sign-in, say. */
export const needed = signal<Pick<ErrorAnswer['error'], 'needs'> | null>(null);

/** The API's root, relative to the page, so that it also works below another path. */
export const API = './api/v1';
const PATIENCE_MS = 10_000;
/** A survey of a long span reads much of the disk. */
const SURVEY_PATIENCE_MS = 10 * 60_000;
const WAY_PATIENCE_MS = 30_000;

function problemFrom(body: Partial<ErrorAnswer> | null, status: number): string {
  const error = body?.error;
  if (typeof error?.message !== 'string') return texts.errors.status(status);
  const hint =
    error.expected === undefined || error.found === undefined
      ? ''
      : ` ${texts.errors.expected(error.expected, error.found)}`;
  return error.message + hint;
}

async function ask<T>(
  path: string,
  init: RequestInit = {},
  patienceMs = PATIENCE_MS,
): Promise<Answer<T>> {
  let response: Response;
  try {
    response = await fetch(`${API}${path}`, {
      ...init,
      cache: 'no-store',
      signal: AbortSignal.any([
        AbortSignal.timeout(patienceMs),
        ...(init.signal ? [init.signal] : []),
      ]),
    });
  } catch {
    return { ok: false, problem: texts.errors.unreachable };
  }
  try {
    const text = await response.text();
    if (response.ok) return { ok: true, answer: fromWire<T>(text) };
    const refusal = fromWire<Partial<ErrorAnswer> | null>(text);
    // A new object each time, so that the same need twice is heard twice.
    if (refusal?.error?.needs !== undefined) needed.value = { needs: refusal.error.needs };
    return { ok: false, problem: problemFrom(refusal, response.status) };
  } catch {
    const problem = response.ok ? texts.errors.notJson : texts.errors.status(response.status);
    return { ok: false, problem };
  }
}

export const askBoat = () => ask<BoatAnswer>('/boat');
export const askPanel = () => ask<PanelState>('/panel');
export const askOpenAlerts = () => ask<AlertsAnswer>('/alerts?phase=open&limit=1000');
export const askWays = () => ask<WaysAnswer>('/ways');
export const askHealth = () => ask<HealthAnswer>('/health');
export const askPoints = () => ask<PointsAnswer>('/points');

/** What past alerts are searched for; empty text and null mean any. */
export interface AlertSearch {
  text: string;
  priority: Priority | null;
}

/** One page of closed alerts, newest raised first, all raised before `beforeMs` if given. */
export function askPastAlerts(
  limit: number,
  { text, priority }: AlertSearch,
  beforeMs?: number,
): Promise<Answer<AlertsAnswer>> {
  const query = new URLSearchParams({ phase: 'past', limit: String(limit) });
  if (beforeMs !== undefined) query.set('before', String(beforeMs));
  if (text.trim() !== '') query.set('text', text.trim());
  if (priority !== null) query.set('priority', priority);
  return ask(`/alerts?${query.toString()}`);
}

export function askAlert(id: string): Promise<Answer<AlertAnswer>> {
  return ask(`/alerts/${encodeURIComponent(id)}`);
}

export function askEvents(
  fromMs: number,
  limit: number,
  toMs?: number,
): Promise<Answer<EventsAnswer>> {
  const to = toMs === undefined ? '' : `&to=${Math.max(0, Math.ceil(toMs))}`;
  return ask(`/events?from=${Math.max(0, Math.floor(fromMs))}${to}&limit=${limit}`);
}

function stretchQuery({ fromMs, toMs }: Stretch): URLSearchParams {
  return new URLSearchParams({
    from: String(Math.max(0, Math.floor(fromMs))),
    to: String(Math.max(0, Math.ceil(toMs))),
  });
}

/** Which source fed what, and which alerts stood. */
export function askBands(stretch: Stretch, limit: number): Promise<Answer<BandsAnswer>> {
  return ask(`/bands?${stretchQuery(stretch).toString()}&limit=${limit}`);
}

/** What every part came to; takes its time over a long stretch, until `until` aborts it. */
export function askSurvey(stretch: Stretch, until: AbortSignal): Promise<Answer<SurveyAnswer>> {
  return ask(`/survey?${stretchQuery(stretch).toString()}`, { signal: until }, SURVEY_PATIENCE_MS);
}

/** The alerts raised before an instant, open or past, newest first. */
export function askAlertsBefore(beforeMs: number, limit: number): Promise<Answer<AlertsAnswer>> {
  return ask(`/alerts?phase=all&limit=${limit}&before=${Math.max(0, Math.ceil(beforeMs))}`);
}

/** Where the recorded readings can be had as a file; of all points where none is named. */
export function exportAddress(
  points: readonly string[],
  stretch: Stretch,
  format: 'csv' | 'jsonl',
): string {
  const query = stretchQuery(stretch);
  if (points.length > 0) query.set('points', points.join(','));
  query.set('format', format);
  return `${API}/export?${query.toString()}`;
}

export function askHistory(
  points: readonly string[],
  fromMs: number,
  toMs: number,
  buckets: number,
): Promise<Answer<HistoryAnswer>> {
  const query = new URLSearchParams({
    points: points.join(','),
    from: String(Math.max(0, Math.floor(fromMs))),
    to: String(Math.max(0, Math.ceil(toMs))),
    buckets: String(buckets),
  });
  return ask(`/history?${query.toString()}`);
}

/** What is sent is answered only after the daemon has it on its disk. */
function post<T>(path: string, body: object, patienceMs = PATIENCE_MS): Promise<Answer<T>> {
  const init = {
    method: 'POST',
    // Only the page's own script can send the second; a form on another site cannot.
    headers: { 'content-type': 'application/json', 'x-requested-by': 'panelward' },
    body: JSON.stringify(body),
  };
  return ask(path, init, patienceMs);
}

/** Does something about an alert; answers with the alert as it then stands. */
export const postAct = (id: string, act: QuickAct | 'inspected', body: PersonBody) =>
  post<AcknowledgeAnswer>(`/alerts/${encodeURIComponent(id)}/${act}`, body);

export const postShelve = (id: string, body: ShelveBody) =>
  post<AcknowledgeAnswer>(`/alerts/${encodeURIComponent(id)}/shelve`, body);

export const postOutOfService = (id: string, body: OutOfServiceBody) =>
  post<AcknowledgeAnswer>(`/alerts/${encodeURIComponent(id)}/out-of-service`, body);

export const askWhyDead = (part: string) =>
  ask<WhyDead>(`/parts/${encodeURIComponent(part)}/why-dead`);

/** What can still be switched on. */
export const askLoadPlan = () => ask<LoadPlan>('/load-plan');

/** Waits for whoever is at the other end, who has 20 s. */
export const postWayTest = (id: string) =>
  post<WayTestAnswer>(`/ways/${encodeURIComponent(id)}/test`, {}, WAY_PATIENCE_MS);

/** Shows a contact's messages in this browser from now on. */
export const postPushSubscription = (body: {
  endpoint: string;
  keys: { p256dh: string; auth: string };
  contact: string;
}) => post<{ isSubscribed: boolean }>('/push-subscriptions', body);
export const postPushEnd = (endpoint: string) =>
  post<{ isSubscribed: boolean }>('/push-subscriptions/end', { endpoint });

export const postMode = (body: ModeBody) => post<SaidAnswer>('/mode', body);
export const postStatement = (body: StatementBody) => post<SaidAnswer>('/statements', body);

export const askVisitor = () => ask<VisitorAnswer>('/session');
export const postSignIn = (body: SignInBody) => post<VisitorAnswer>('/sign-in', body);
export const postSignOut = () => post<VisitorAnswer>('/sign-out', {});
export const postSetUp = (body: SetUpBody) => post<VisitorAnswer>('/set-up', body);
export const postFresh = (body: PasswordBody) => post<VisitorAnswer>('/session/fresh', body);

export const askPersons = () => ask<PersonsAnswer>('/persons');
export const askSessions = () => ask<SessionsAnswer>('/sessions');
export const postEndSession = (number: number) =>
  post<SessionsAnswer>(`/sessions/${number}/end`, {});

/** One page of the audit trail, all older than `before` where it is given. */
export const askAudit = (limit: number, before?: number) =>
  ask<AuditAnswer>(`/audit?limit=${limit}${before === undefined ? '' : `&before=${before}`}`);
