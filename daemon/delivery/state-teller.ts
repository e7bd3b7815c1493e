/**
 * Publishes what stands, as against letters: a sounder's sound, and notifications of open marine data.
 * The newest word counts: one that could not be published is not kept, the next try says what is then.
 * Says it again now and then, for a broker that was started anew.
 */
import type { Alert } from '../../rules/index.ts';
import type { Clock } from '../clock.ts';
import { backoffMs } from './backoff.ts';
import { deltaOf, type Notification, notificationsOf } from './marine-notifications.ts';
import type { StateWay } from './open-ways.ts';
import { soundOf } from './sounder.ts';
import { later, type Outcome } from './way.ts';

export interface StateTellerOptions {
  way: StateWay;
  alerts: () => readonly Alert[];
  clock: Clock;
  /** For waiting on the network, at real speed. */
  linkClock: Clock;
  random: () => number;
  utcNowMs: () => number;
}

const AGAIN_EVERY_MS = 60_000;
const WHOLE_TRY_MS = 20_000;
const TEST_SOUND_MS = 2000;

export class StateTeller {
  readonly #given: StateTellerOptions;
  readonly #stop = new AbortController();
  #running: Promise<void> | null = null;
  #told: string | null = null;
  #toldAtMs = -Infinity;
  #notifications: Notification[] = [];
  #failures = 0;
  #pausedUntilMs = -Infinity;
  lastSentAtMs: number | null = null;
  lastTriedAtMs: number | null = null;
  lastProblem: string | null = null;
  failingSinceMs: number | null = null;

  constructor(given: StateTellerOptions) {
    this.#given = given;
  }

  get way(): StateWay {
    return this.#given.way;
  }

  /** Publishes what has changed, or has not been said for a minute. Returns at once. */
  look(): void {
    const nowMs = this.#given.clock.nowMs();
    if (this.#running !== null || this.#stop.signal.aborted || nowMs < this.#pausedUntilMs) return;
    const { state, payload } = this.#state();
    if (state === this.#told && nowMs - this.#toldAtMs < AGAIN_EVERY_MS) return;
    this.#running = this.#tell(state, payload, nowMs);
  }

  /** Sounds for two seconds, or says a notification that all is normal. */
  async test(): Promise<Outcome> {
    await this.#running;
    if (this.way.kind === 'marine-data') return await this.#publish(this.#testDelta());
    const outcome = await this.#publish('on');
    if ('answer' in outcome) {
      await new Promise<void>((resolve) => {
        this.#given.linkClock.after(TEST_SOUND_MS, resolve);
      });
    }
    this.#told = null;
    const after = await this.#publish(this.#state().payload);
    return 'answer' in outcome ? after : outcome;
  }

  /** What is on its way is given up. A sounder is left as it is: whoever stops us may be ill. */
  async stop(): Promise<void> {
    this.#stop.abort();
    await this.#running;
  }

  /** `state` without instants, to compare. */
  #state(): { state: string; payload: string } {
    const alerts = this.#given.alerts();
    if (this.way.kind === 'sounder') {
      const payload = soundOf(alerts);
      return { state: payload, payload };
    }
    const utcNowMs = this.#given.utcNowMs();
    this.#notifications = notificationsOf(alerts, this.#notifications, utcNowMs);
    const state = this.#notifications.map(({ path, value: { timestamp: _at, ...rest } }) => [
      path,
      rest,
    ]);
    return {
      state: JSON.stringify(state),
      payload: JSON.stringify(deltaOf(this.#notifications, utcNowMs)),
    };
  }

  #testDelta(): string {
    const utcNowMs = this.#given.utcNowMs();
    const value = {
      state: 'normal' as const,
      method: [],
      message: 'This is a test. Nothing is wrong.',
      timestamp: new Date(utcNowMs).toISOString(),
    };
    const path = 'notifications.electrical.panelward.test';
    return JSON.stringify(deltaOf([{ path, value }], utcNowMs));
  }

  async #tell(state: string, payload: string, nowMs: number): Promise<void> {
    const outcome = await this.#publish(payload);
    this.#running = null;
    if ('problem' in outcome) return;
    this.#told = state;
    this.#toldAtMs = nowMs;
  }

  async #publish(payload: string): Promise<Outcome> {
    const { way, clock, linkClock, random } = this.#given;
    const limit = new AbortController();
    const cancel = linkClock.after(WHOLE_TRY_MS, () => limit.abort());
    const signal = AbortSignal.any([limit.signal, this.#stop.signal]);
    const isRetained = way.kind === 'sounder';
    const outcome = await way
      .publish({ topic: way.topic, payload, isRetained }, signal)
      .catch((error: unknown) => later(String(error)));
    cancel();
    const nowMs = clock.nowMs();
    this.lastTriedAtMs = nowMs;
    if ('answer' in outcome) {
      this.lastSentAtMs = nowMs;
      this.#failures = 0;
      this.#pausedUntilMs = -Infinity;
      this.lastProblem = null;
      this.failingSinceMs = null;
    } else {
      this.#failures += 1;
      // A sounder is there to be heard within a moment.
      this.#pausedUntilMs = nowMs + Math.min(10_000, backoffMs(this.#failures, true, random()));
      this.lastProblem = outcome.problem;
      this.failingSinceMs ??= nowMs;
    }
    return outcome;
  }
}
