/**
 * Keeps the alerts of one boat: times every check, raises, folds symptoms into their cause, lets
 * time pass over every alert, and writes down what happened. Numbers of events never come again.
 */
import type { Act, Alert, AlertEvent, Finding, Mode, Symptom } from './alert.ts';
import { PRIORITIES } from './alert.ts';
import { advance, newAlert } from './alert-life.ts';
import type { Happening } from './alert-life.ts';
import { afterBreak, isStanding } from './alert-states.ts';
import { causeThatCovers } from './causes.ts';
import type { Cause } from './causes.ts';
import type { Check } from './check.ts';
import { Comings, FLOOD_KEY } from './comings.ts';
import type { SavedComings } from './comings.ts';
import { objectionTo } from './objections.ts';
import { keyOfId, lostFrom, metTiming } from './recall.ts';
import { endOf, isIdle, levelsIn, step } from './timing.ts';
import type { Timed, Timing } from './timing.ts';

/** Plain JSON, kept over a restart. */
export interface SavedLedger {
  timings: Record<string, Timing>;
  /** Open alerts by the key of their check. */
  alerts: Record<string, Alert>;
  seq: number;
  /** Of the last evaluation or act; null before the first. */
  lastMs: number | null;
  comings: SavedComings;
  /** Ids of alerts that were taken up from the record and that no reading has confirmed since. */
  unconfirmed?: readonly string[];
}

export class Ledger {
  readonly #timings: Map<string, Timing>;
  readonly #alerts: Map<string, Alert>;
  readonly #comings: Comings;
  #seq: number;
  #lastMs: number | null;
  /** Nobody has watched since `#lastMs`. */
  #isBroken: boolean;
  /** The record has events that this ledger has never seen. */
  readonly #isBehind: boolean;
  readonly #unconfirmed: Set<string>;

  constructor(saved: Partial<SavedLedger>, lastSeq: number) {
    this.#timings = new Map(Object.entries(saved.timings ?? {}));
    this.#alerts = new Map(Object.entries(saved.alerts ?? {}));
    this.#comings = new Comings(saved.comings);
    this.#seq = Math.max(saved.seq ?? 0, lastSeq);
    this.#lastMs = saved.lastMs ?? null;
    this.#isBroken = true;
    this.#isBehind = (saved.seq ?? 0) < lastSeq;
    this.#unconfirmed = new Set(saved.unconfirmed);
  }

  /**
   * Goes on from the alerts that the record holds open, where what was saved knows nothing of them or
   * is older: what stood is held until a sensor tells, and has then either been confirmed or ends
   * without being called over. To be called once, before anything else.
   */
  recall(recorded: readonly Alert[], atMs: number): AlertEvent[] {
    const nowMs = this.#goOnTo(atMs);
    const { found, doubled, gone } = lostFrom(this.#alerts, recorded, this.#isBehind);
    for (const key of gone) {
      this.#alerts.delete(key);
      this.#timings.delete(key);
    }
    const ended = doubled.map((own) => {
      const { alert } = advance(own, { type: 'close', why: 'no longer watched' }, nowMs);
      return this.#event('closed', alert, nowMs, 'panelward');
    });
    const taken = found.flatMap(([key, alert]) => {
      this.#timings.delete(key);
      if (isStanding(alert)) this.#unconfirmed.add(alert.id);
      return this.#happen(key, alert, { type: 'take up' }, nowMs);
    });
    return [...ended, ...taken];
  }

  /** Keys of the alerts whose condition holds now. */
  get standing(): ReadonlySet<string> {
    return new Set([...this.#alerts].flatMap(([key, own]) => (isStanding(own) ? [key] : [])));
  }

  /** Most urgent first, then newest. */
  open(): Alert[] {
    return [...this.#alerts.values()].sort(
      (a, b) =>
        PRIORITIES.indexOf(a.priority) - PRIORITIES.indexOf(b.priority) ||
        b.raisedAtMs - a.raisedAtMs,
    );
  }

  /** What a person does about an open alert: the events of it, none where it was so already. */
  act(
    alertId: string,
    act: Act,
    by: string,
    atMs: number,
  ): { events: AlertEvent[] } | { problem: string } {
    const nowMs = this.#goOnTo(atMs);
    for (const [key, alert] of this.#alerts) {
      if (alert.id !== alertId) continue;
      const problem = objectionTo(alert, act, nowMs);
      return problem === null
        ? { events: this.#happen(key, alert, { ...act, by }, nowMs, by) }
        : { problem };
    }
    return { problem: `No open alert is called "${alertId}"; it may be over already.` };
  }

  /** Judges all checks of one evaluation. Causes come first, so that their symptoms are known. */
  run(checks: readonly Check[], atMs: number, passedMs: number, mode: Mode): AlertEvent[] {
    const nowMs = this.#goOnTo(atMs);
    this.#comings.forgetOld(nowMs);
    const events: AlertEvent[] = [];
    const causes: Cause[] = [];
    const causeOf = new Map<string, Cause>();
    const judge = (check: Check): void => {
      const cause = causeOf.size === 0 ? undefined : causeThatCovers(causeOf, check.key);
      if (cause) {
        events.push(...this.#fold(check, cause, nowMs, mode));
        return;
      }
      if (!this.#isQuiet(check)) events.push(...this.#judge(check, nowMs, passedMs, mode));
      const { explains } = check;
      if (explains && this.#isStanding(check.key)) {
        const own: Cause = { key: check.key, place: causes.length, symptoms: [] };
        causes.push(own);
        for (const name of explains) if (!causeOf.has(name)) causeOf.set(name, own);
      }
    };
    for (const check of checks) if (check.explains !== undefined) judge(check);
    for (const check of checks) if (check.explains === undefined) judge(check);
    for (const cause of causes) this.#join(cause.key, cause.symptoms, events, nowMs);
    events.push(...this.#closeOrphans(checks, nowMs));
    this.#noticeFlood(events, nowMs, mode);
    for (const key of this.#alerts.keys()) events.push(...this.#letPass(key, nowMs));
    return events;
  }

  save(): SavedLedger {
    return {
      timings: Object.fromEntries(this.#timings),
      alerts: Object.fromEntries(this.#alerts),
      seq: this.#seq,
      lastMs: this.#lastMs,
      comings: this.#comings.save(),
      ...(this.#unconfirmed.size > 0 && { unconfirmed: [...this.#unconfirmed] }),
    };
  }

  /** Time never runs backwards here. After a break in watching, what is due waits for the sensors. */
  #goOnTo(atMs: number): number {
    const lastMs = this.#lastMs ?? atMs;
    const nowMs = Math.max(atMs, lastMs);
    if (this.#isBroken) {
      for (const [key, own] of this.#alerts) this.#alerts.set(key, afterBreak(own, lastMs, nowMs));
    }
    this.#isBroken = false;
    this.#lastMs = nowMs;
    return nowMs;
  }

  #isStanding(key: string): boolean {
    const alert = this.#alerts.get(key);
    return alert !== undefined && isStanding(alert);
  }

  /** Nothing has begun and nothing begins: so it is with nearly all checks, nearly always. */
  #isQuiet({ key, levels }: Check): boolean {
    for (const { verdict } of levels) if (verdict === 'raise') return false;
    if (this.#timings.size > 0 && this.#timings.has(key)) return false;
    return this.#alerts.size === 0 || !this.#alerts.has(key);
  }

  #judge(check: Check, nowMs: number, passedMs: number, mode: Mode): AlertEvent[] {
    const alert = this.#alerts.get(check.key);
    const isUnconfirmed = alert !== undefined && this.#unconfirmed.has(alert.id);
    const levels = levelsIn(check, mode);
    const kept = this.#timings.get(check.key);
    const before = kept ?? (isUnconfirmed ? metTiming(levels, alert) : undefined);
    const timed = step({ levels, offDelayMs: check.offDelayMs }, before, nowMs, passedMs);
    this.#keepTiming(check.key, timed.timing);
    const level = timed.met === null ? undefined : check.levels[timed.met];
    if (!level) {
      const end = alert && endOf({ ...alert, isUnconfirmed }, before, levels);
      return end ? this.#happen(check.key, alert, end, nowMs) : [];
    }
    if (!alert) {
      const finding = check.describe(level.priority);
      return this.#raise(check.key, finding, timed.sinceMs ?? nowMs, nowMs, mode);
    }
    return this.#goOn(check, alert, timed, nowMs);
  }

  /** An alert whose condition is met still. */
  #goOn(check: Check, alert: Alert, timed: Timed, nowMs: number): AlertEvent[] {
    const level = check.levels[timed.met ?? 0];
    if (!level) return [];
    if (level.verdict === 'raise') this.#unconfirmed.delete(alert.id);
    if (timed.isHeld || this.#unconfirmed.has(alert.id)) {
      return this.#happen(check.key, alert, { type: 'hold' }, nowMs);
    }
    const finding = check.describe(level.priority);
    // While it is on its way to being over, the words stay those of when it held.
    const happenings: Happening[] = !isStanding(alert)
      ? [{ type: 'raise', finding }]
      : level.verdict === 'raise'
        ? [{ type: 'resume' }, { type: 'describe', finding }]
        : [{ type: 'resume' }];
    return happenings.flatMap((happening) => {
      const current = this.#alerts.get(check.key);
      return current ? this.#happen(check.key, current, happening, nowMs) : [];
    });
  }

  /**
   * A symptom is told inside its cause's alert and has none of its own. Its on-delay starts anew
   * when the cause is over, so that what recovers together is not told one by one.
   */
  #fold(check: Check, cause: Cause, nowMs: number, mode: Mode): AlertEvent[] {
    this.#timings.delete(check.key);
    const level = levelsIn(check, mode).find((own) => own.verdict === 'raise');
    if (level) {
      cause.symptoms.push({ key: check.key, title: check.describe(level.priority).title });
    }
    const alert = this.#alerts.get(check.key);
    if (!alert) return [];
    const into = this.#alerts.get(cause.key)?.id ?? cause.key;
    return this.#happen(check.key, alert, { type: 'fold', into }, nowMs);
  }

  /** Notes what is told inside an alert; one that is raised in this very evaluation tells it at once. */
  #join(key: string, symptoms: readonly Symptom[], events: AlertEvent[], nowMs: number): void {
    const before = this.#alerts.get(key);
    if (!before || symptoms.length === 0) return;
    const { alert, type } = advance(before, { type: 'join', symptoms }, nowMs);
    this.#alerts.set(key, alert);
    const at = events.findLastIndex((own) => own.alertId === alert.id);
    const told = events[at];
    if (told) events[at] = { ...told, alert: { ...told.alert, symptoms: alert.symptoms } };
    else if (type !== null) events.push(this.#event(type, alert, nowMs, 'panelward'));
  }

  /**
   * Many alerts at once are told in one notice: those that came in the evaluation that made it a
   * flood and those that follow. What is urgent is told by itself all the same.
   */
  #noticeFlood(events: AlertEvent[], nowMs: number, mode: Mode): void {
    const check = this.#comings.floodCheck();
    if (this.#isQuiet(check)) return;
    events.push(...this.#judge(check, nowMs, 0, mode));
    const flood = this.#alerts.get(FLOOD_KEY);
    if (!flood || !isStanding(flood)) return;
    this.#join(FLOOD_KEY, this.#comings.recent, events, nowMs);
    for (const [at, event] of events.entries()) {
      const { alert, type } = event;
      const isUrgent = alert.priority === 'emergency alarm' || alert.priority === 'alarm';
      if (type !== 'raised' || isUrgent || alert.id === flood.id) continue;
      const key = keyOfId(alert.id);
      const open = this.#alerts.get(key);
      if (open?.id !== alert.id) continue;
      this.#alerts.set(key, { ...open, inFlood: flood.id });
      events[at] = { ...event, alert: { ...alert, inFlood: flood.id } };
    }
  }

  /** Whatever is due of one alert, each thing an event of its own. */
  #letPass(key: string, nowMs: number): AlertEvent[] {
    const events: AlertEvent[] = [];
    for (;;) {
      const alert = this.#alerts.get(key);
      const own = alert ? this.#happen(key, alert, { type: 'pass' }, nowMs) : [];
      if (own.length === 0) return events;
      events.push(...own);
    }
  }

  #raise(key: string, finding: Finding, sinceMs: number, nowMs: number, mode: Mode): AlertEvent[] {
    // Event numbers never come again, so neither do ids.
    const alert = newAlert(finding, { id: `${key}.${this.#seq + 1}`, sinceMs, nowMs, mode });
    this.#alerts.set(key, alert);
    return [
      this.#event('raised', alert, nowMs, 'panelward'),
      ...this.#noteComing(key, alert, true, nowMs),
    ];
  }

  #noteComing(key: string, alert: Alert, isNew: boolean, nowMs: number): AlertEvent[] {
    const times = this.#comings.note(key, alert, isNew, nowMs);
    return times === null ? [] : this.#happen(key, alert, { type: 'chatter', times }, nowMs);
  }

  #happen(
    key: string,
    before: Alert,
    happening: Happening,
    nowMs: number,
    actor = 'panelward',
  ): AlertEvent[] {
    const { alert, type } = advance(before, happening, nowMs);
    if (alert.phase === 'closed') this.#alerts.delete(key);
    else this.#alerts.set(key, alert);
    if (!isStanding(alert)) this.#unconfirmed.delete(alert.id);
    if (before.chattering && type === 'returned') this.#comings.forget(key);
    if (type === null) return [];
    const event = this.#event(type, alert, nowMs, actor);
    return type === 'raised' ? [event, ...this.#noteComing(key, alert, false, nowMs)] : [event];
  }

  #event(type: AlertEvent['type'], alert: Alert, nowMs: number, actor: string): AlertEvent {
    this.#seq += 1;
    return { seq: this.#seq, atMs: nowMs, alertId: alert.id, type, actor, alert };
  }

  #keepTiming(key: string, timing: Timing): void {
    if (isIdle(timing)) this.#timings.delete(key);
    else this.#timings.set(key, timing);
  }

  /** Alerts whose subject has gone from the boat file: nobody will ever clear them. */
  #closeOrphans(checks: readonly Check[], nowMs: number): AlertEvent[] {
    const gone = new Set([...this.#timings.keys(), ...this.#alerts.keys()]);
    if (gone.size === 0) return [];
    for (const { key } of checks) gone.delete(key);
    gone.delete(FLOOD_KEY);
    return [...gone].flatMap((key) => {
      this.#timings.delete(key);
      const alert = this.#alerts.get(key);
      return alert
        ? this.#happen(key, alert, { type: 'close', why: 'no longer watched' }, nowMs)
        : [];
    });
  }
}
