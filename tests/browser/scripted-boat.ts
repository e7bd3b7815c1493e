/**
 * A daemon made of paper: it serves the built page under the daemon's own security headers and
 * answers the API from scripted JSON, so that a browser test can make anything happen at will.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { extname, join } from 'node:path';
import type {
  Alert,
  AlertEvent,
  BoatAnswer,
  HealthAnswer,
  LiveEvent,
  PanelEvent,
  PanelState,
  VisitorAnswer,
  WhyDead,
} from '../../daemon/api/contract.ts';
import { SECURITY_HEADERS } from '../../daemon/api/guards.ts';
import { answerAct } from './scripted-acts.ts';
import { PAST_ALERTS } from './scripted-alerts.ts';
import { scriptedHealth, scriptedWays } from './scripted-health.ts';
import { scriptedBands, scriptedSurvey, SOURCE_EVENTS } from './scripted-look-back.ts';
import { POINT_DESCRIPTIONS, scriptedHistory, type Hole } from './scripted-history.ts';
import { loadPlan } from '../../rules/index.ts';
import { loadDemoBoat } from '../scenarios/stage.ts';
import { EVENING_MS, scriptedPanel } from './scripted-panel.ts';

const PAGE = new URL('../../.build/dashboard', import.meta.url).pathname;
const KINDS: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.webmanifest': 'application/manifest+json',
};
const TICK_MS = 250;
/** The load plan of the paper boat is the rules' own. */
const BOAT = loadDemoBoat('Sable Plover');

/** What the boat answers instead of the answer it would give. */
export interface Refusal {
  status: number;
  message: string;
}

export interface ScriptedBoat {
  url: string;
  /** The boat's time; moves on by one second with each tick. */
  atMs: number;
  panel: (atMs: number) => PanelState;
  open: Map<string, Alert>;
  about: BoatAnswer;
  /** Who looks; the boat's own screen unless a test says otherwise. */
  visitor: VisitorAnswer;
  hole: Hole;
  /** Set to refuse acts on alerts, and questions by the path's first word: `history`, say. */
  refusals: Map<string, Refusal>;
  /** True: the stream stays open but says nothing, and the API does not answer. */
  isMute: boolean;
  /** True: nothing answers at all, not even with the page. */
  isGone: boolean;
  /** Files of the page that this boat has in another version. */
  otherFiles: Map<string, string>;
  /** True: the stream is refused, the rest of the API answers. */
  hasNoStream: boolean;
  acknowledgements: { id: string; by: string }[];
  /** An alert begins, or changes. */
  tell(type: AlertEvent['type'], alert: Alert, actor?: string): void;
  /** A live reading that the history does not have yet; null: none. */
  surge: { pointId: string; value: number } | null;
  /** Breaks every open stream, as a restart of the daemon does. */
  dropStreams(): void;
  /** Sends text as it is down the stream. */
  sendRaw(text: string): void;
  stop(): Promise<void>;
}

const EVENTS: PanelEvent[] = [
  {
    atMs: EVENING_MS - 3_600_000 * 1.5 - 9_000,
    type: 'source live',
    part: 'bow-inlet',
    text: 'Bow inlet has voltage again.',
  },
];

let built: ReadonlyMap<string, Buffer> | null = null;

/** The files of the built page by their path, read once: a build beside the tests changes nothing. */
function builtPage(): ReadonlyMap<string, Buffer> {
  if (built !== null) return built;
  if (!existsSync(join(PAGE, 'index.html'))) {
    throw new Error('The page is not built yet: npm run build');
  }
  const files = readdirSync(PAGE, { recursive: true, encoding: 'utf8' });
  const plain = files.filter((file) => extname(file) !== '');
  built = new Map(plain.map((file) => [file, readFileSync(join(PAGE, file))]));
  return built;
}

const scriptedWhyDead = (part: string): WhyDead => ({
  part,
  verdict: 'broken',
  link: 'house-main',
  suspects: [],
  sentence: 'House bus reads no voltage: HOUSE MAIN is open.',
  doThis: 'Find out whether somebody opened it on purpose.',
  also: ['Its standing order: should be on.'],
  cautions: ['No reading proves a circuit dead.'],
});

/** Serves until stopped, on a port of its own. */
export async function startScriptedBoat(): Promise<ScriptedBoat> {
  const page = builtPage();
  const streams = new Set<ServerResponse>();
  let seq = 100;

  const send = ({ name, carries }: LiveEvent) =>
    boat.sendRaw(`event: ${name}\ndata: ${JSON.stringify(carries)}\n\n`);

  const boat: ScriptedBoat = {
    url: '',
    atMs: EVENING_MS,
    panel: (atMs) => scriptedPanel(atMs),
    open: new Map(),
    visitor: {
      role: 'technician',
      person: null,
      isLocal: true,
      isFresh: true,
      mustSetUp: false,
      canSignIn: false,
    },
    about: {
      name: 'Sable Plover',
      system: {
        ac: { kind: 'split phase', volts: 120, hertz: 60, legs: ['L1', 'L2'] },
        dc: { volts: 12 },
      },
      version: '0.1.0',
      startedAtMs: EVENING_MS - 7_200_000,
      speed: 1,
      isDemo: false,
      scenario: null,
    },
    hole: { fromMs: 0, toMs: 0 },
    refusals: new Map(),
    isMute: false,
    isGone: false,
    otherFiles: new Map(),
    hasNoStream: false,
    surge: null,
    dropStreams: () => {
      for (const stream of streams) stream.destroy();
    },
    acknowledgements: [],
    tell: (type, alert, actor = 'panelward') => {
      if (alert.phase === 'closed') boat.open.delete(alert.id);
      else boat.open.set(alert.id, alert);
      seq += 1;
      const event: AlertEvent = { seq, atMs: boat.atMs, alertId: alert.id, type, actor, alert };
      send({ name: 'alert', carries: event });
    },
    sendRaw: (text) => {
      for (const stream of streams) stream.write(text);
    },
    stop: async () => {
      clearInterval(ticking);
      for (const stream of streams) stream.destroy();
      server.closeAllConnections();
      await new Promise((done) => server.close(done));
    },
  };

  const historyOf = (query: URLSearchParams) =>
    scriptedHistory(
      (query.get('points') ?? '').split(','),
      { fromMs: Number(query.get('from')), toMs: Number(query.get('to')) },
      Number(query.get('buckets')),
      boat.hole,
      boat.atMs,
    );

  const answer = async (path: string, query: URLSearchParams, request: IncomingMessage) => {
    const refusal = boat.refusals.get(path.split('/').at(-1) ?? '');
    if (refusal !== undefined) {
      return { status: refusal.status, body: { error: { message: refusal.message } } };
    }
    const acted = await answerAct(boat, path, request);
    if (acted !== null) return acted;
    const asked = /^\/alerts\/([^/]+)$/.exec(path);
    if (asked !== null) {
      const id = decodeURIComponent(asked[1] ?? '');
      const alert = [...boat.open.values(), ...PAST_ALERTS].find((one) => one.id === id);
      return { status: 200, body: { alert, events: storyOf(alert) } };
    }
    const dead = /^\/parts\/([^/]+)\/why-dead$/.exec(path);
    if (dead !== null) return { status: 200, body: scriptedWhyDead(dead[1] ?? '') };
    const answers: Record<string, () => unknown> = {
      '/boat': () => boat.about,
      '/session': () => boat.visitor,
      '/panel': () => boat.panel(boat.atMs),
      '/alerts': () => ({
        alerts: alertsOf(boat.open, query),
      }),
      '/events': () => ({ events: eventsIn(query) }),
      '/bands': () => scriptedBands(spanOf(query)),
      '/survey': () => scriptedSurvey(spanOf(query)),
      '/load-plan': () => loadPlan(BOAT, boat.panel(boat.atMs)),
      '/points': () => ({ points: POINT_DESCRIPTIONS }),
      '/history': () => historyOf(query),
      '/ways': () => scriptedWays(boat.atMs),
      '/health': (): HealthAnswer => scriptedHealth(boat.atMs, boat.about),
    };
    const found = answers[path];
    if (found === undefined) {
      return { status: 404, body: { error: { message: `There is no ${path}.` } } };
    }
    return { status: 200, body: found() };
  };

  const openStream = (response: ServerResponse) => {
    response.writeHead(200, { ...SECURITY_HEADERS, 'content-type': 'text/event-stream' });
    streams.add(response);
    response.once('close', () => streams.delete(response));
    response.write('retry: 500\n\n');
    send({ name: 'panel', carries: boat.panel(boat.atMs) });
    send({ name: 'alerts', carries: { alerts: [...boat.open.values()] } });
  };

  const serveFile = (path: string, response: ServerResponse) => {
    const file = path === '/' ? 'index.html' : path.slice(1);
    const content = boat.otherFiles.get(file) ?? page.get(file);
    response.writeHead(content === undefined ? 404 : 200, {
      ...SECURITY_HEADERS,
      'content-type': KINDS[extname(file)] ?? 'text/plain',
    });
    response.end(content ?? 'not found');
  };

  const serve = async (request: IncomingMessage, response: ServerResponse) => {
    if (boat.isGone) {
      response.destroy();
      return;
    }
    const { pathname, searchParams } = new URL(request.url ?? '/', 'http://boat');
    if (!pathname.startsWith('/api/v1/')) {
      serveFile(pathname, response);
      return;
    }
    const path = pathname.slice('/api/v1'.length);
    if (path === '/live' && !boat.hasNoStream && !boat.isMute) {
      openStream(response);
      return;
    }
    if (boat.isMute) {
      response.destroy();
      return;
    }
    const { status, body } = await answer(path, searchParams, request);
    response.writeHead(status, { ...SECURITY_HEADERS, 'content-type': 'application/json' });
    response.end(JSON.stringify(body));
  };

  const server = createServer((request, response) => void serve(request, response));
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const address = server.address();
  if (address === null || typeof address === 'string') throw new Error('The server has no port.');
  boat.url = `http://127.0.0.1:${address.port}/`;
  const ticking = setInterval(() => {
    if (boat.isMute || boat.isGone) return;
    boat.atMs += 1000;
    send({ name: 'panel', carries: withSurge(boat.panel(boat.atMs), boat.surge) });
  }, TICK_MS);
  return boat;
}

function withSurge(panel: PanelState, surge: ScriptedBoat['surge']): PanelState {
  if (surge === null) return panel;
  const points = panel.points.map((point) =>
    point.id === surge.pointId ? Object.assign({}, point, { value: surge.value, ageMs: 0 }) : point,
  );
  return { ...panel, points };
}

function alertsOf(open: ReadonlyMap<string, Alert>, query: URLSearchParams): readonly Alert[] {
  const phase = query.get('phase');
  const words = (query.get('text') ?? '').toLowerCase().split(/\s+/);
  const priority = query.get('priority');
  const past = PAST_ALERTS.filter(
    (alert) =>
      words.every((word) => alert.title.toLowerCase().includes(word)) &&
      (priority === null || alert.priority === priority),
  );
  if (phase === 'past') return past;
  return phase === 'all' ? [...open.values(), ...past] : [...open.values()];
}

/** As recorded, newest first. */
function eventsIn(query: URLSearchParams): PanelEvent[] {
  const fromMs = Number(query.get('from') ?? 0);
  const toMs = Number(query.get('to') ?? Number.POSITIVE_INFINITY);
  return [...EVENTS, ...SOURCE_EVENTS]
    .filter(({ atMs }) => atMs >= fromMs && atMs < toMs)
    .sort((a, b) => b.atMs - a.atMs);
}

const spanOf = (query: URLSearchParams) => ({
  fromMs: Number(query.get('from')),
  toMs: Number(query.get('to')),
});

function storyOf(alert: Alert | undefined): AlertEvent[] {
  if (alert === undefined) return [];
  const event = (seq: number, atMs: number, type: AlertEvent['type'], actor: string) => ({
    seq,
    atMs,
    alertId: alert.id,
    type,
    actor,
    alert,
  });
  return [
    event(1, alert.raisedAtMs, 'raised', 'panelward'),
    event(2, alert.acknowledgedAtMs ?? alert.raisedAtMs, 'acknowledged', 'Wren'),
    event(3, alert.returnedAtMs ?? alert.raisedAtMs, 'returned', 'panelward'),
  ];
}
