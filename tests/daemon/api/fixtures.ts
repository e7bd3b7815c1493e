/** An API on a free port of this computer, over a real store and a panel of one bus. */
import { request } from 'node:http';
import type { IncomingHttpHeaders } from 'node:http';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { type Api, type ApiOptions, startApi } from '../../../daemon/api/api.ts';
import type {
  BoatAnswer,
  HealthAnswer,
  PanelState,
  PointDescription,
  SurveyAnswer,
} from '../../../daemon/api/contract.ts';
import type {
  Acknowledgement,
  ApiParts,
  ExportAsked,
  Said,
  Update,
} from '../../../daemon/api/parts.ts';
import { recordedText } from '../../../daemon/export/recorded-text.ts';
import { manualClock, type ManualClock } from '../../../daemon/clock.ts';
import { openStore, type Store } from '../../../daemon/store/store.ts';
import type { LoadPlan } from '../../../rules/switching/plan.ts';
import type { WhyDead } from '../../../rules/why-dead/answer.ts';
import type { Act, Alert, AlertEvent, Mode } from '../../../rules/alerts/alert.ts';
import { advance } from '../../../rules/alerts/alert-life.ts';
import { objectionTo } from '../../../rules/alerts/objections.ts';
import { START_MS } from '../store/fixtures.ts';

export { START_MS } from '../store/fixtures.ts';

const unknown = { value: null, evidence: 'unknown', ageMs: null } as const;

export function panelAt(atMs: number, note = ''): PanelState {
  const leg = {
    leg: 'L1',
    live: 'live',
    volts: { value: 119.4, evidence: 'measured', ageMs: 400 },
    amps: { value: 21.5, evidence: 'measured', ageMs: 400, lastValue: 21.5 },
    watts: unknown,
    ampsRated: 50,
    loadRatio: { value: 0.43, evidence: 'inferred', ageMs: 400 },
    headroomAmps: { value: 28.5, evidence: 'inferred', ageMs: 400 },
  } as const;
  return {
    boat: 'Testing the Waters',
    atMs,
    sources: [],
    selectors: [],
    mainSwitches: [],
    buses: [
      {
        id: 'main-a',
        label: 'Main A',
        system: 'ac',
        from: 'shore-bow',
        legs: [leg],
        watts: unknown,
        fedBy: 'shore-bow',
        fedByIsKnown: true,
        feedEvidence: 'inferred',
        unmeteredAmps: [{ leg: 'L1', amps: unknown }],
        because: ['Main A is fed by the bow inlet.', note],
      },
    ],
    circuits: [],
    batteries: [],
    points: [],
    contradictions: [],
    mode: { name: 'aboard', sinceMs: null, untilMs: null, by: null },
  };
}

const pointOf = (
  id: string,
  quantity: PointDescription['quantity'],
  unit: string,
): PointDescription => ({
  id,
  label: `Main A ${quantity}`,
  of: 'main-a',
  leg: null,
  quantity,
  unit,
  expectedEveryMs: 1000,
});

const POINTS: PointDescription[] = [
  pointOf('main-a-l1-volts', 'volts', 'V'),
  pointOf('main-a-l1-amps', 'amps', 'A'),
  pointOf('selector', 'position', ''),
  pointOf('breaker', 'switch', ''),
];

/** A daemon without rules: what the test puts in is what the API is told. */
export class FakeDaemon implements ApiParts {
  readonly store: Store;
  readonly clock: ManualClock;
  readonly record: Store;
  readonly open = new Map<string, Alert>();
  nowPanel: PanelState | null = panelAt(START_MS);
  problems: string[] = [];
  speed = 1;
  diskRefuses = false;
  readonly listeners = new Set<(update: Update) => void>();

  constructor(store: Store, clock: ManualClock) {
    this.store = store;
    this.record = store;
    this.clock = clock;
  }

  panel(): PanelState | null {
    return this.nowPanel;
  }

  openAlerts(): Alert[] {
    return [...this.open.values()].sort((a, b) => b.raisedAtMs - a.raisedAtMs);
  }

  /** Puts an alert event into the record and tells the API. */
  happens(alert: Alert, type: AlertEvent['type'], actor = 'panelward'): void {
    const event = {
      seq: this.store.lastSeq() + 1,
      atMs: this.clock.nowMs(),
      alertId: alert.id,
      type,
      actor,
      alert,
    };
    this.store.commit({ alertEvents: [event], panelEvents: [] });
    if (alert.phase === 'closed') this.open.delete(alert.id);
    else this.open.set(alert.id, alert);
    this.tell({ alertEvents: [event], panelEvents: [], tookMs: 3 });
  }

  tell(update: Update): void {
    for (const listener of this.listeners) listener(update);
  }

  acknowledge(id: string, by: string): Acknowledgement {
    return this.act(id, { type: 'acknowledge' }, by);
  }

  act(id: string, act: Act, by: string): Acknowledgement {
    const alert = this.open.get(id);
    if (this.diskRefuses) return { problem: 'The disk refuses.', why: 'not stored' };
    if (alert === undefined) {
      if (this.store.alert(id) === null) return { problem: 'Unknown.', why: 'unknown' };
      return { problem: 'This alert is closed already.', why: 'refused' };
    }
    const nowMs = this.clock.nowMs();
    const problem = objectionTo(alert, act, nowMs);
    if (problem !== null) return { problem, why: 'refused' };
    const done = advance(alert, { ...act, by }, nowMs);
    if (done.type !== null) this.happens(done.alert, done.type, by);
    return { alert: done.alert };
  }

  whyDead(part: string): WhyDead | null {
    if (part !== 'house-bus') return null;
    return {
      part,
      verdict: 'broken',
      link: 'house-main',
      suspects: [],
      sentence: 'House bus reads no voltage: HOUSE MAIN is open.',
      doThis: 'Find out whether somebody opened it on purpose.',
      also: [],
      cautions: ['No reading proves a circuit dead.'],
    };
  }

  loadPlan(): LoadPlan | null {
    return this.nowPanel === null ? null : { atMs: this.clock.nowMs(), rooms: [], answers: [] };
  }

  setMode(mode: Mode, _untilMs: number | null, by: string): Said {
    return this.#say('', 'mode changed', `${by}: ${mode}.`);
  }

  state(part: string, position: string | null, by: string): Said {
    return this.#say(part, 'stated', `${by}: ${position}.`);
  }

  #say(part: string, type: 'mode changed' | 'stated', text: string): Said {
    if (this.diskRefuses) return { problem: 'The disk refuses.', why: 'not stored' };
    const panelEvents = [{ atMs: this.clock.nowMs(), type, part, text }];
    this.store.commit({ alertEvents: [], panelEvents });
    this.tell({ alertEvents: [], panelEvents, tookMs: null });
    return { events: panelEvents };
  }

  exportText(asked: ExportAsked, signal: AbortSignal): AsyncGenerator<string> {
    return recordedText({ reader: this.store.reader, axis: this.store.axis() }, asked, signal);
  }

  /** Nothing was measured, unless a test says otherwise. */
  survey(fromMs: number, toMs: number, _signal: AbortSignal): Promise<SurveyAnswer> {
    const durationShares = [0, 0.5, 1];
    return Promise.resolve({
      boat: 'Testing the Waters',
      fromMs,
      toMs,
      roughMs: 0,
      durationShares,
      parts: [],
      points: [],
    });
  }

  boat(): BoatAnswer {
    return {
      name: 'Testing the Waters',
      system: { ac: { kind: 'single phase', volts: 120, hertz: 60, legs: ['L1'] }, dc: null },
      version: '0.1.0',
      startedAtMs: START_MS,
      speed: this.speed,
      isDemo: true,
      scenario: null,
    };
  }

  points(): PointDescription[] {
    return POINTS;
  }

  health(): HealthAnswer {
    return {
      status: this.problems.length === 0 ? 'ok' : 'degraded',
      version: '0.1.0',
      nowMs: this.clock.nowMs(),
      startedAtMs: START_MS,
      problems: this.problems,
      points: [],
      intake: {
        mqtt: {
          mode: 'embedded',
          address: 'mqtt://127.0.0.1:1883',
          isConnected: true,
          clients: 2,
          messages: 70,
          readings: 65,
        },
        marineData: null,
        refused: [{ reason: 'not "JSON"\n', count: 5, lastTopic: 'a/b', lastAtMs: START_MS }],
        unmapped: [],
      },
      store: this.store.health(),
      clock: { quality: 'synchronised', utcOffsetMs: 0, boots: 1, says: 'All is well.' },
      evaluation: { lastAtMs: START_MS, count: 1, lastTookMs: 2.5 },
    };
  }

  onUpdate(listener: (update: Update) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }
}

export interface Started {
  api: Api;
  daemon: FakeDaemon;
  clock: ManualClock;
  folder: string;
  lines: string[];
}

/** Started on a free port; ends with the test. */
export async function started(options: Partial<ApiOptions> = {}): Promise<Started> {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-api-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  const lines: string[] = [];
  const log = (line: string): number => lines.push(line);
  const clock = manualClock(START_MS);
  const store = openStore({ folder: join(folder, 'data'), clock, log });
  onTestFinished(() => store.close());
  const daemon = new FakeDaemon(store, clock);
  const api = await startApi({
    parts: daemon,
    clock,
    port: 0,
    pageFolder: join(folder, 'page'),
    log,
    version: '0.1.0',
    ...options,
  });
  onTestFinished(() => api.stop());
  return { api, daemon, clock, folder, lines };
}

export interface Answered {
  status: number;
  headers: IncomingHttpHeaders;
  text: string;
}

/** One request by plain HTTP, with whatever headers the test wants, `host` included. */
export function ask(
  api: Api,
  path: string,
  given: { method?: string; headers?: Record<string, string | string[]>; body?: string } = {},
): Promise<Answered> {
  return new Promise((resolve, reject) => {
    const { method = 'GET', headers = {}, body } = given;
    const sent = request(
      { host: '127.0.0.1', port: api.port, path, method, headers, agent: false },
      (response) => {
        let text = '';
        response.setEncoding('utf8');
        response.on('data', (chunk: string) => {
          text += chunk;
        });
        response.on('end', () =>
          resolve({ status: response.statusCode ?? 0, headers: response.headers, text }),
        );
      },
    );
    sent.on('error', reject);
    sent.end(body);
  });
}

export function post(
  api: Api,
  path: string,
  body: unknown,
  headers: Record<string, string> = {},
): Promise<Answered> {
  return ask(api, path, {
    method: 'POST',
    headers: { 'content-type': 'application/json', ...headers },
    body: typeof body === 'string' ? body : JSON.stringify(body),
  });
}
