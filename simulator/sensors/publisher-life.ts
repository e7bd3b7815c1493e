/**
 * When one publisher speaks, and what befalls it: jitter, loss, silence, frozen values, restarts.
 * Time is in milliseconds of the scenario.
 */
import type { SensorAction } from '../action.ts';
import type { Random } from '../random.ts';
import type { SensorFaults } from './sensor-faults.ts';

/** What becomes of one message that is due. */
export type Fate = 'sent' | 'lost' | 'sent twice' | 'sent late';

const REBOOT_MS = 20_000;
const DAY_MS = 86_400_000;

export class PublisherLife {
  readonly #periodMs: number;
  readonly #faults: SensorFaults;
  readonly #random: Random;
  #beatMs: number;
  #dueMs: number;
  #silentUntilMs = -Infinity;
  #frozenUntilMs = -Infinity;
  #upSinceMs: number;

  constructor(periodMs: number, faults: SensorFaults, random: Random) {
    this.#periodMs = periodMs;
    this.#faults = faults;
    this.#random = random;
    this.#beatMs = Math.floor(random.unit() * periodMs);
    this.#dueMs = this.#beatMs;
    // It was switched on some days before we look.
    this.#upSinceMs = -Math.round(random.between(0.1, 9) * DAY_MS);
  }

  /** When the next message is due. */
  get dueMs(): number {
    return this.#dueMs;
  }

  uptimeSeconds(atMs: number): number {
    return Math.floor((atMs - this.#upSinceMs) / 1000);
  }

  isFrozen(atMs: number): boolean {
    return atMs < this.#frozenUntilMs;
  }

  /** Takes the message that is due at `dueMs` and decides its fate; the next one is due then. */
  next(): Fate {
    const atMs = this.#dueMs;
    this.#beatMs += this.#periodMs;
    const jitterMs = this.#faults.jitterRatio * this.#periodMs * this.#random.between(-1, 1);
    this.#dueMs = Math.max(atMs + 1, Math.round(this.#beatMs + jitterMs));
    this.#befall(atMs);
    if (atMs < this.#silentUntilMs || this.#random.chance(this.#faults.lossRatio)) return 'lost';
    if (this.#random.chance(this.#faults.duplicateRatio)) return 'sent twice';
    return this.#random.chance(this.#faults.outOfOrderRatio) ? 'sent late' : 'sent';
  }

  /** A scripted fault from `atMs` on. */
  suffer(fault: SensorAction['fault'], atMs: number): void {
    if (fault === 'silent' || fault === 'dies') this.#silentUntilMs = Infinity;
    else if (fault === 'frozen') this.#frozenUntilMs = Infinity;
    else if (fault === 'reboots') this.#reboot(atMs);
    else this.#silentUntilMs = this.#frozenUntilMs = -Infinity;
  }

  #befall(atMs: number): void {
    const perDay = this.#periodMs / DAY_MS;
    const { lossBurstsPerDay, freezesPerDay, rebootsPerDay } = this.#faults;
    if (this.#random.chance(lossBurstsPerDay * perDay)) {
      const burstMs = Math.min(600_000, 5000 + this.#random.exponential(45_000));
      this.#silentUntilMs = Math.max(this.#silentUntilMs, atMs + burstMs);
    }
    if (this.#random.chance(freezesPerDay * perDay)) {
      const freezeMs = this.#random.exponential(600_000);
      this.#frozenUntilMs = Math.max(this.#frozenUntilMs, atMs + freezeMs);
    }
    if (this.#random.chance(rebootsPerDay * perDay)) this.#reboot(atMs);
  }

  #reboot(atMs: number): void {
    this.#silentUntilMs = Math.max(this.#silentUntilMs, atMs + REBOOT_MS);
    this.#upSinceMs = atMs + REBOOT_MS;
  }
}

/** Carries out the fate of messages: a late one goes out after the one that follows it. */
export class Delivery<Message> {
  #held: Message | null = null;

  deliver(fate: Fate, message: Message): Message[] {
    if (fate === 'lost') return [];
    const held = this.#held === null ? [] : [this.#held];
    if (fate === 'sent late') {
      this.#held = message;
      return held;
    }
    this.#held = null;
    return fate === 'sent twice' ? [message, message, ...held] : [message, ...held];
  }
}
