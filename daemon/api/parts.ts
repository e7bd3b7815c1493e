/**
 * What the API needs of the rest of the daemon: questions it may ask, what a person may say to it, and
 * the news. `daemon.ts` puts it together; the API knows neither the watch nor SQLite.
 */
import type { Act, Alert, AlertEvent, Mode } from '../../rules/alerts/alert.ts';
import type { PanelState } from '../../rules/panel/panel-state.ts';
import type { PanelEvent } from '../../rules/watch.ts';
import type { LoadPlan } from '../../rules/switching/plan.ts';
import type { WhyDead } from '../../rules/why-dead/answer.ts';
import type { Store } from '../store/store.ts';
import type {
  BoatAnswer,
  HealthAnswer,
  PointDescription,
  SurveyAnswer,
  WaysAnswer,
  WayTestAnswer,
} from './contract.ts';

export interface ApiParts {
  /** The newest panel; null until the first evaluation. */
  panel(): PanelState | null;
  /** Why a bus or a circuit reads no voltage; null before the first panel and for anything else. */
  whyDead(part: string): WhyDead | null;
  /** What can still be switched on; null before the first panel. */
  loadPlan(): LoadPlan | null;
  /** Alerts that are not closed, most urgent first, then newest: the watch's, not the disk's. */
  openAlerts(): Alert[];
  /** Acknowledges an open alert for the person `by`. Returns once the record is on the disk. */
  acknowledge(alertId: string, by: string): Acknowledgement;
  /** Whatever else a person does about an open alert. Returns once the record is on the disk. */
  act(alertId: string, act: Act, by: string): Acknowledgement;
  /** Says what the boat is about. Returns once the record is on the disk. */
  setMode(mode: Mode, untilMs: number | null, by: string): Said;
  /** Takes a person's word for where a part stands, or back with null. Returns as above. */
  state(part: string, position: string | null, by: string): Said;
  /** What the disk remembers. A store is one as it is. */
  record: Pick<
    Store,
    | 'alerts'
    | 'alert'
    | 'alertEvents'
    | 'alertsWithin'
    | 'panelEvents'
    | 'sourceEvents'
    | 'sourceEventsBefore'
    | 'history'
    | 'axis'
  >;
  /** Recorded readings as text, piece by piece as it is taken; ends when `signal` aborts. */
  exportText(asked: ExportAsked, signal: AbortSignal): AsyncGenerator<string>;
  /** The load survey of a span; rejects when `signal` aborts or the disk cannot be read. */
  survey(fromMs: number, toMs: number, signal: AbortSignal): Promise<SurveyAnswer>;
  boat(): BoatAnswer;
  points(): PointDescription[];
  /** Asked at most once a second, and with every request for it. */
  health(): HealthAnswer;
  /** Calls `listener` after every evaluation and act until the returned function is called. */
  onUpdate(listener: (update: Update) => void): () => void;
  /** Ways out of the boat; without it there are none. */
  post?: PostParts;
}

export interface PostParts {
  ways(): WaysAnswer;
  /** Sends a marked test; null: no way of that id. */
  test(id: string): Promise<WayTestAnswer | null>;
  /** Tells a contact in one browser from now on. Null: it is on the disk. */
  subscribe(browser: Subscribing): Refusal | null;
  unsubscribe(endpoint: string): Refusal | null;
}

export interface Subscribing {
  endpoint: string;
  keys: { p256dh: string; auth: string };
  contact: string;
}

export const NO_POST: PostParts = {
  ways: () => ({ ways: [], pushKey: null, contacts: [] }),
  test: () => Promise.resolve(null),
  subscribe: () => ({ problem: 'The settings name no way out by push.', why: 'refused' }),
  unsubscribe: () => null,
};

export interface ExportAsked {
  format: 'csv' | 'jsonl';
  points: readonly { id: string; unit: string }[];
  fromMs: number;
  toMs: number;
}

/** What has just been evaluated or done, after it went to the store. */
export interface Update {
  alertEvents: readonly AlertEvent[];
  panelEvents: readonly PanelEvent[];
  /** Real milliseconds that the evaluation took; null where there was none. */
  tookMs: number | null;
}

export type Acknowledgement = { alert: Alert } | Refusal;

/** What was said, as it went into the record. */
export type Said = { events: readonly PanelEvent[] } | Refusal;

export interface Refusal {
  /** Whole sentence for the person who asked. */
  problem: string;
  /**
   * `unknown`: no alert or part of that id. `refused`: an alert is closed already, a selector has
   * no such position, say. `not stored`: done in memory, but the disk refuses, so a restart may
   * undo it.
   */
  why: 'unknown' | 'refused' | 'not stored';
}
