/**
 * One source of open marine data: its points as deltas (one update, one source, one timestamp).
 * Numbers go out in the units that the boat file gives, which for open marine data are SI.
 */
import type { Channel } from './channel.ts';
import type { Probe } from './probe.ts';
import type { PublisherLife } from './publisher-life.ts';
import { Delivery } from './publisher-life.ts';
import type { SensorAction } from '../action.ts';

export interface MarineChannel {
  channel: Channel;
  probe: Probe;
  /** Below the vessel. */
  path: string;
}

export interface MarineWhere {
  /** Names the vessel. */
  context: string;
  /** Wall time of the scenario's start; may be set anew. */
  epochMs: number;
}

export interface MarineDelta {
  /** When it is due, in milliseconds of the scenario. */
  atMs: number;
  text: string;
}

export class MarineSource {
  /** Its `$source`. */
  readonly name: string;
  readonly #where: MarineWhere;
  readonly #life: PublisherLife;
  readonly #channels: readonly MarineChannel[];
  #values: (number | string | null)[] = [];
  readonly #delivery = new Delivery<MarineDelta>();

  constructor(
    name: string,
    where: MarineWhere,
    channels: readonly MarineChannel[],
    life: PublisherLife,
  ) {
    this.name = name;
    this.#where = where;
    this.#channels = channels;
    this.#life = life;
  }

  get dueMs(): number {
    return this.#life.dueMs;
  }

  /** The delta that is due, with what its fate makes of it and of one held back before. */
  speak(): MarineDelta[] {
    const atMs = this.#life.dueMs;
    const fate = this.#life.next();
    if (fate === 'lost') return [];
    if (!this.#life.isFrozen(atMs) || this.#values.length === 0) {
      this.#values = this.#channels.map(({ channel, probe }) => channel.sends(probe()));
    }
    return this.#delivery.deliver(fate, this.#delta(atMs, this.#values));
  }

  /** A scripted fault; gives back the "no value" deltas of a source that dies. */
  suffer(fault: SensorAction['fault'], atMs: number): MarineDelta[] {
    this.#life.suffer(fault, atMs);
    if (fault !== 'dies') return [];
    return [
      this.#delta(
        atMs,
        this.#channels.map(() => null),
      ),
    ];
  }

  #delta(atMs: number, values: readonly (number | string | null)[]): MarineDelta {
    const update = {
      $source: this.name,
      timestamp: new Date(this.#where.epochMs + atMs).toISOString(),
      values: this.#channels.map(({ path }, at) => ({ path, value: values[at] ?? null })),
    };
    return { atMs, text: JSON.stringify({ context: this.#where.context, updates: [update] }) };
  }
}
