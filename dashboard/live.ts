/**
 * What the page knows of the boat, as signals fed by the live stream. Where the stream is silent
 * the page asks instead. The boat's time is always that of its panel, never the browser's clock:
 * a demo may run faster than the world.
 */
import { batch, computed, effect, signal } from '@preact/signals';
import type {
  Alert,
  AlertEvent,
  AlertsAnswer,
  BoatAnswer,
  HealthEvent,
  LiveEvent,
  LiveEventName,
  PanelEvent,
  PanelState,
} from '../daemon/api/contract.ts';
import { API, askBoat, askOpenAlerts, askPanel } from './api.ts';
import { keepPage, lookForNewVersion } from './offline/registration.ts';
import { announcementOf, openFrom, withAlert, type OpenAlerts } from './models/alert-list.ts';
import { utcOffsetMs } from './boat-clock.ts';
import { keepLastKnown, readLastKnown } from './last-known.ts';
import { agoShown, isOldAt, linkState, SHOW_EVERY_MS, SILENT_AFTER_MS } from './models/link.ts';
import { paced } from './models/pacing.ts';
import { preferences } from './preferences.ts';
import { texts } from './texts.ts';
import { fromWire } from './wire.ts';

const TICK_MS = 1_000;
const ASK_EVERY_MS = 5_000;
const REOPEN_AFTER_MS = 3_000;
const ANNOUNCED_FOR_MS = 6_000;
const EVENTS_KEPT = 200;
const KEEP_EVERY_MS = 30_000;
/** A boat that is there answers sooner; later, what it said last is better than an empty page. */
const REMEMBER_AFTER_MS = 3_000;

export const boat = signal<BoatAnswer | null>(null);
/** The panel as it is shown, changing at most once in two seconds. */
export const panel = signal<PanelState | null>(null);
/** Null until the boat has said which alerts are open. */
export const openAlerts = signal<OpenAlerts | null>(null);
/** Alerts that closed while the page was open, for the record view. */
export const closedCount = signal(0);
/** Panel events heard while the page was open, newest first. */
export const panelEvents = signal<readonly PanelEvent[]>([]);
export const health = signal<HealthEvent | null>(null);
/** A sentence about what went wrong between boat and page; null: nothing. */
export const trouble = signal<string | null>(null);
/** The daemon is another version than the one this page came from. */
export const isOutdated = signal(false);

export interface Announcement {
  key: number;
  text: string;
  isUrgent: boolean;
}
export const announcements = signal<readonly Announcement[]>([]);

const heardAgoMs = signal<number | null>(null);
const waitedMs = signal(0);
/** When what is shown was kept, by this browser's clock; null: it comes from the boat itself. */
export const rememberedFromMs = signal<number | null>(null);
const via = signal<'stream' | 'asking'>('stream');
const linkIs = computed(() =>
  linkState({
    heardAgoMs: heardAgoMs.value,
    waitedMs: waitedMs.value,
    via: via.value,
    isRemembered: rememberedFromMs.value !== null,
  }),
);
const silentMs = computed(() => agoShown(heardAgoMs.value ?? waitedMs.value));
/** How the page stands to the boat, and for how long there was silence where that is worth a word. */
export const link = computed(() => ({ state: linkIs.value, agoMs: silentMs.value }));
/** Nothing shown can be relied on. */
export const isOld = computed(() => isOldAt(link.value.state));
/** The boat's time: that of the panel shown; null before the first. */
export const boatNowMs = computed(() => panel.value?.atMs ?? null);

const startedAt = performance.now();
let heardAt: number | null = null;
let streamHeardAt = startedAt;
let askedAt = Number.NEGATIVE_INFINITY;
let announced = 0;

function hear(by: 'stream' | 'asking'): void {
  heardAt = performance.now();
  if (by === 'stream') streamHeardAt = heardAt;
  batch(() => {
    heardAgoMs.value = 0;
    rememberedFromMs.value = null;
    via.value = by;
  });
}

function keep(): void {
  const [state, open] = [panel.peek(), openAlerts.peek()];
  if (heardAt === null || state === null || open === null) return;
  keepLastKnown({ boat: boat.peek(), panel: state, alerts: [...open.values()] });
}

/** Shows what the boat said on an earlier visit, unless it has been heard on this one. */
function remember(): void {
  if (heardAt !== null || rememberedFromMs.peek() !== null) return;
  const known = readLastKnown();
  if (known === null) return;
  batch(() => {
    rememberedFromMs.value = known.keptAtMs;
    boat.value ??= known.boat;
    panel.value = known.panel;
    openAlerts.value = openFrom(known.alerts);
  });
}

/** Lets one panel through in two seconds, the newest; the others are not even read. */
const show = paced<() => void>(
  SHOW_EVERY_MS,
  { nowMs: () => performance.now(), after: (ms, act) => void setTimeout(act, ms) },
  (take) => take(),
);

/** One that cannot be read is said, and does not count as heard: what stands there grows old. */
function takePanelText(text: string): void {
  try {
    const next = fromWire<PanelState>(text);
    batch(() => {
      panel.value = next;
      trouble.value = null;
      hear('stream');
    });
  } catch {
    trouble.value = texts.link.unreadable;
  }
}

function takeAlerts({ alerts }: AlertsAnswer): void {
  openAlerts.value = openFrom(alerts);
}

function takeAlert(alert: Alert): void {
  if (alert.phase === 'closed') closedCount.value += 1;
  // One closed alert does not tell that no other is open.
  if (openAlerts.value === null && alert.phase === 'closed') return;
  openAlerts.value = withAlert(openAlerts.value ?? new Map(), alert);
}

/** The alert as an act on it was answered; the stream may have closed it in the meantime. */
export function takeAnswered(alert: Alert): void {
  if (openAlerts.value?.has(alert.id) === true) takeAlert(alert);
}

function announce(event: AlertEvent): void {
  const said = announcementOf(event);
  if (said === null) return;
  announced += 1;
  const key = announced;
  announcements.value = [...announcements.value, { ...said, key }];
  setTimeout(() => {
    announcements.value = announcements.value.filter((other) => other.key !== key);
  }, ANNOUNCED_FOR_MS);
}

async function learnBoat(): Promise<void> {
  const said = await askBoat();
  if (!said.ok) {
    remember();
    return;
  }
  if (boat.value !== null && boat.value.version !== said.answer.version) isOutdated.value = true;
  boat.value = said.answer;
}

function takeAlertEvent(event: AlertEvent): void {
  takeAlert(event.alert);
  announce(event);
}

function takePanelEvent(event: PanelEvent): void {
  panelEvents.value = [event, ...panelEvents.value].slice(0, EVENTS_KEPT);
}

type Carried<Name extends LiveEventName> = Extract<LiveEvent, { name: Name }>['carries'];

/** Takes one kind of event from the stream; one that cannot be read is said, not thrown. */
function listen<Name extends LiveEventName>(
  stream: EventSource,
  name: Name,
  take: (carried: Carried<Name>) => void,
) {
  stream.addEventListener(name, (message: MessageEvent<string>) => {
    try {
      const carried = fromWire<Carried<Name>>(message.data);
      batch(() => take(carried));
      trouble.value = null;
      hear('stream');
    } catch {
      trouble.value = texts.link.unreadable;
    }
  });
}

function openStream(): EventSource {
  const stream = new EventSource(`${API}/live`);
  stream.addEventListener('open', () => {
    void learnBoat();
    lookForNewVersion();
  });
  stream.addEventListener('panel', ({ data }: MessageEvent<string>) => {
    show(() => takePanelText(data));
  });
  listen(stream, 'alerts', takeAlerts);
  listen(stream, 'alert', takeAlertEvent);
  listen(stream, 'event', takePanelEvent);
  listen(stream, 'health', (said) => {
    health.value = said;
    utcOffsetMs.value = said.utcOffsetMs;
  });
  return stream;
}

async function askInstead(): Promise<void> {
  askedAt = performance.now();
  const [panelSaid, alertsSaid] = await Promise.all([askPanel(), askOpenAlerts()]);
  // The stream may have come back while we waited; what it said is newer.
  if (performance.now() - streamHeardAt < SILENT_AFTER_MS) return;
  batch(() => {
    if (panelSaid.ok) panel.value = panelSaid.answer;
    if (alertsSaid.ok) takeAlerts(alertsSaid.answer);
    if (panelSaid.ok && alertsSaid.ok) {
      hear('asking');
      trouble.value = null;
    } else if (!panelSaid.ok) trouble.value = panelSaid.problem;
    else if (!alertsSaid.ok) trouble.value = alertsSaid.problem;
  });
  if (boat.value === null) await learnBoat();
}

/** Listens until the returned function is called. */
export function startLive(): () => void {
  let stream = openStream();
  let closedAt: number | null = null;
  void learnBoat();
  keepPage(() => {
    isOutdated.value = true;
  });
  const keeping = setInterval(keep, KEEP_EVERY_MS);
  const whenHidden = () => {
    if (document.visibilityState === 'hidden') keep();
  };
  document.addEventListener('visibilitychange', whenHidden);

  // What stands there speaks in the old degrees: the boat is asked to say it again.
  let { degrees } = preferences.peek();
  const stopFollowing = effect(() => {
    if (preferences.value.degrees === degrees) return;
    ({ degrees } = preferences.value);
    stream.close();
    stream = openStream();
  });

  const tick = setInterval(() => {
    const now = performance.now();
    batch(() => {
      heardAgoMs.value = heardAt === null ? null : now - heardAt;
      waitedMs.value = now - startedAt;
    });
    if (now - startedAt >= REMEMBER_AFTER_MS) remember();
    // The browser reconnects by itself, except after an answer that was no stream at all.
    if (stream.readyState === EventSource.CLOSED) {
      closedAt ??= now;
      if (now - closedAt >= REOPEN_AFTER_MS) {
        stream = openStream();
        closedAt = null;
      }
    }
    if (now - streamHeardAt >= SILENT_AFTER_MS && now - askedAt >= ASK_EVERY_MS) void askInstead();
  }, TICK_MS);

  return () => {
    clearInterval(tick);
    clearInterval(keeping);
    document.removeEventListener('visibilitychange', whenHidden);
    stopFollowing();
    stream.close();
  };
}
