/**
 * Says to somebody outside that the boat is watched, so that its absence can be noticed. A beat
 * leaves only after an evaluation that has really run: a panelward that hangs falls silent. A beat
 * that fails is counted and forgotten; the next one carries the newer state anyway.
 */
import type { Alert, PanelState } from '../../rules/index.ts';
import type { Beat } from '../ashore/beat.ts';
import type { Clock } from '../clock.ts';
import type { HeartbeatSettings } from '../settings/heartbeat-section.ts';
import { proofOf, SIGNATURE_HEADER, signatureOf, TIMESTAMP_HEADER } from '../signature.ts';
import { cut, lastKnown } from './last-known.ts';
import { post } from './post.ts';

/** What a beat tells besides the panel. */
export interface Aboard {
  alerts: readonly Alert[];
  /** Raised last, newest first; open or over. */
  recent: readonly Alert[];
  lastEvent: number;
  boot: number;
  clock: Beat['clock'];
  utcOffsetMs: number;
  computer: Beat['computer'];
}

export interface HeartbeatOptions {
  settings: HeartbeatSettings;
  secret: string;
  /** What `settings.caFile` holds. */
  ca?: string | undefined;
  boat: string;
  version: string;
  clock: Clock;
  aboard: () => Aboard;
  log: (line: string) => void;
  /** Somebody ashore has taken a beat. */
  onHeard?: () => void;
}

export interface HeartbeatHealth {
  /** Without its path, which may be a secret. */
  to: string;
  everySeconds: number;
  sent: number;
  heard: number;
  failed: number;
  lastHeardAtMs: number | null;
  /** What became of the last one; null when it was heard. */
  lastProblem: string | null;
}

const PATIENCE_MS = 20_000;
const FAREWELL_PATIENCE_MS = 2000;
/** After a failure the next one is due sooner: one lost packet is no lost interval. */
const SOONER = 4;
/** So many intervals unheard are told on the health page. */
const UNHEARD_BEATS = 3;

export class Heartbeat {
  readonly #options: HeartbeatOptions;
  readonly #startedAtMs: number;
  readonly #to: string;
  #sequence = 0;
  #dueAtMs: number;
  #panel: PanelState | null = null;
  #sending: Promise<void> | null = null;
  #underWay = new AbortController();
  #heard = 0;
  #failed = 0;
  #lastHeardAtMs: number | null = null;
  #lastProblem: string | null = null;

  constructor(options: HeartbeatOptions) {
    this.#options = options;
    this.#startedAtMs = options.clock.nowMs();
    this.#dueAtMs = this.#startedAtMs;
    this.#to = new URL(options.settings.url).origin;
  }

  /** To be called after every full pass of evaluation, and only then. */
  evaluated(panel: PanelState): void {
    this.#panel = panel;
    const nowMs = this.#options.clock.nowMs();
    if (nowMs < this.#dueAtMs || this.#sending) return;
    // On a grid, so that small delays do not add up; what was missed is not made up for.
    const everyMs = this.#everyMs;
    this.#dueAtMs += everyMs * (1 + Math.floor((nowMs - this.#dueAtMs) / everyMs));
    this.#sending = this.#send(panel, false, PATIENCE_MS).finally(() => {
      this.#sending = null;
    });
  }

  health(): HeartbeatHealth {
    return {
      to: this.#to,
      everySeconds: this.#options.settings.everySeconds,
      sent: this.#sequence,
      heard: this.#heard,
      failed: this.#failed,
      lastHeardAtMs: this.#lastHeardAtMs,
      lastProblem: this.#lastProblem,
    };
  }

  /** Whole sentences for the health page. */
  problems(): string[] {
    const unheardMs = this.#options.clock.nowMs() - (this.#lastHeardAtMs ?? this.#startedAtMs);
    if (this.#lastProblem === null || unheardMs < UNHEARD_BEATS * this.#everyMs) return [];
    const minutes = Math.round(unheardMs / 60_000);
    return [
      `Nobody ashore has heard from her for ${minutes} min: ${this.#to}: ${this.#lastProblem}.`,
    ];
  }

  /** Says goodbye, if somebody was listening; waits two seconds for it at most. */
  async stop(): Promise<void> {
    const isListening = this.#lastProblem === null && this.#heard > 0;
    this.#dueAtMs = Infinity;
    this.#underWay.abort();
    await this.#sending;
    this.#underWay = new AbortController();
    if (this.#panel && isListening) await this.#send(this.#panel, true, FAREWELL_PATIENCE_MS);
  }

  get #everyMs(): number {
    return this.#options.settings.everySeconds * 1000;
  }

  async #send(panel: PanelState, isLast: boolean, patienceMs: number): Promise<void> {
    const { settings, secret, ca, clock, log } = this.#options;
    const beat = this.#write(panel, isLast);
    const body = JSON.stringify(beat);
    const timestamp = String(beat.sentAtMs);
    const signature = signatureOf(secret, timestamp, body);
    const headers = {
      [TIMESTAMP_HEADER]: timestamp,
      [SIGNATURE_HEADER]: signature,
    };
    const posted = await post(settings.url, body, headers, patienceMs, this.#underWay.signal, ca);
    const proof = settings.proof ? proofOf(secret, signature) : null;
    const problem = problemWith(posted, proof);
    if (problem === null) {
      if (this.#lastProblem !== null) log('Somebody ashore hears from her again.');
      this.#heard += 1;
      this.#options.onHeard?.();
      this.#lastHeardAtMs = clock.nowMs();
    } else {
      if (this.#lastProblem === null) log(`A beat was not heard: ${this.#to}: ${problem}.`);
      this.#failed += 1;
      this.#dueAtMs = Math.min(this.#dueAtMs, clock.nowMs() + this.#everyMs / SOONER);
    }
    this.#lastProblem = problem;
  }

  #write(panel: PanelState, isLast: boolean): Beat {
    const { boat, version, clock, settings, aboard } = this.#options;
    const { alerts, recent, lastEvent, boot, utcOffsetMs, ...rest } = aboard();
    const nowMs = clock.nowMs();
    const utcMsOf = (ms: number): number => Math.round(ms + utcOffsetMs);
    this.#sequence += 1;
    return {
      format: 1,
      boat: cut(boat, 120),
      version,
      boot,
      sequence: this.#sequence,
      sentAtMs: utcMsOf(nowMs),
      clock: rest.clock,
      everySeconds: settings.everySeconds,
      nextByMs: utcMsOf(nowMs + this.#everyMs),
      upSeconds: Math.max(0, Math.round((nowMs - this.#startedAtMs) / 1000)),
      computer: rest.computer,
      isLast,
      ...lastKnown(panel, alerts, utcMsOf),
      lastEvent,
      recent: recent.slice(0, 20).map((alert) => ({
        event: eventOf(alert.id),
        rule: alert.rule,
        headline: cut(alert.title, 150),
        raisedAtMs: utcMsOf(alert.raisedAtMs),
        returnedAtMs: alert.returnedAtMs === null ? null : utcMsOf(alert.returnedAtMs),
      })),
    };
  }
}

/** Ids end in the number of the event that raised the alert. */
const eventOf = (id: string): number => Number(/\.(\d+)$/.exec(id)?.[1] ?? 0);

/** Why the beat does not count as heard; null when it does. */
function problemWith(
  posted: Awaited<ReturnType<typeof post>>,
  proof: string | null,
): string | null {
  if ('problem' in posted) return posted.problem;
  const { status, text } = posted;
  if (status >= 300 && status < 400) return `it sends us elsewhere (${status}), and we do not go`;
  if (status < 200 || status >= 300) return `it answered ${status}${reasonIn(text)}`;
  if (proof !== null && field(text, 'proof') !== proof) {
    return 'the answer is not signed by the watcher ashore: perhaps a portal of the network gave it';
  }
  return null;
}

function reasonIn(text: string): string {
  const reason = field(text, 'problem');
  return reason === null ? '' : `: ${cut(reason, 200).replace(/\.$/, '')}`;
}

/** A text of an answer in JSON; null where there is none. */
function field(text: string, name: string): string | null {
  try {
    const answer: unknown = JSON.parse(text);
    if (typeof answer !== 'object' || answer === null) return null;
    const value: unknown = Object.entries(answer).find(([key]) => key === name)?.[1];
    return typeof value === 'string' ? value : null;
  } catch {
    return null;
  }
}
