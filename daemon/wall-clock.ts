/**
 * Finds out what the wall clock has to do with the daemon's own clock, and whether to believe it;
 * keeps that as boots in the record (see daemon/store/time-axis.ts). Nothing else reads the wall
 * clock once the daemon runs, and nothing waits for it: rules and timers run on the daemon's clock.
 */
import type { ClockHealth } from './api/contract.ts';
import type { Clock } from './clock.ts';
import type { Boot, ClockQuality } from './store/time-axis.ts';

/** The computer's wall clock and what vouches for it. */
export interface WallSource {
  /** Milliseconds since 1970 as the computer has it now; may be wrong, and may jump. */
  nowMs(): number;
  /**
   * When a time server set it last, by itself; null where none ever did or nobody knows. Never
   * rejects. `isThorough`: may start another program to ask.
   */
  synchronisedAtMs(isThorough: boolean): Promise<number | null>;
  /** The kernel's name of this run of the computer; null where it has none. */
  readonly machineRun: string | null;
}

/** Where the boots are kept. A store is one as it is. */
export interface BootRecord {
  boots(): readonly Boot[];
  recordBoots(boots: readonly Boot[]): void;
}

const LOOK_EVERY_MS = 1000;
/** Less is a correction by small steps or a busy computer. */
const JUMP_MS = 2000;
/** A stat costs nothing; asking another program does. In looks. */
const ASK_EVERY = 5;
const ASK_THOROUGHLY_EVERY = 300;
const ASK_TRUSTED_EVERY = 60;
/** Of two clocks that were read one after the other. */
const SAME_MS = 1000;
/** The marker of synchronisation can be a little older than the moment we see the jump. */
const MARKER_SLACK_MS = 10_000;
/** Put between the record's last instant and a start whose wall clock lies before it. */
const UNKNOWN_GAP_MS = 60_000;

/**
 * Where the daemon's clock begins: at the wall clock, unless something on the disk is later. Then
 * the wall clock was or is wrong, and the order of records goes before its hours.
 */
export function startingMs(wallMs: number, lastRecordedMs: number | null): number {
  if (lastRecordedMs === null || wallMs > lastRecordedMs) return wallMs;
  return lastRecordedMs + UNKNOWN_GAP_MS;
}

const SAYS: Record<ClockQuality, string> = {
  unverified:
    'Nobody vouches for the wall clock: times of day may be wrong. Durations are right, and old readings are not deleted by age meanwhile.',
  synchronised: 'A time server vouches for the wall clock.',
  corrected: 'The wall clock was wrong at start; the times of this start have been put right.',
};

/** For the health page. */
export function clockHealthOf(boots: readonly Boot[]): ClockHealth {
  const { quality = 'unverified', offsetMs = 0 } = boots.at(-1) ?? {};
  return { quality, utcOffsetMs: offsetMs, boots: boots.length, says: SAYS[quality] };
}

/** Records this boot and watches the wall clock once a second until the returned function is called. */
export function watchWallClock(given: {
  clock: Clock;
  wall: WallSource;
  record: BootRecord;
  log: (line: string) => void;
}): () => void {
  const watch = new WallWatch(given.clock, given.wall, given.record, given.log);
  return given.clock.every(LOOK_EVERY_MS, () => watch.look());
}

class WallWatch {
  readonly #clock: Clock;
  readonly #wall: WallSource;
  readonly #record: BootRecord;
  readonly #log: (line: string) => void;
  #present: Boot;
  /** Wall clock minus the daemon's clock when it was last believed to run evenly. */
  #differenceMs: number;
  /** Of the wall clock: what was set before that counts no more. */
  #jumpedToMs = -Infinity;
  /** The last synchronisation that was seen before the jump; a jump back makes it look new. */
  #staleAtMs: number | null = null;
  #seenAtMs: number | null = null;
  #wasMoved = false;
  #looks = 0;
  #isAsking = false;

  constructor(clock: Clock, wall: WallSource, record: BootRecord, log: (line: string) => void) {
    this.#clock = clock;
    this.#wall = wall;
    this.#record = record;
    this.#log = log;
    this.#differenceMs = this.#difference();
    this.#present = this.#nextBoot(this.#clock.nowMs(), notBeforeTrusted(record.boots()));
    record.recordBoots([this.#present]);
    this.#ask(true);
  }

  look(): void {
    const difference = this.#difference();
    const jumpMs = difference - this.#differenceMs;
    if (Math.abs(jumpMs) > JUMP_MS) {
      this.#differenceMs = difference;
      this.#jumped(jumpMs);
      return;
    }
    this.#looks += 1;
    const isDue = (every: number): boolean => this.#looks % every === 0;
    if (this.#present.quality !== 'unverified') {
      if (isDue(ASK_TRUSTED_EVERY)) this.#ask(false);
    } else if (isDue(ASK_EVERY)) this.#ask(isDue(ASK_THOROUGHLY_EVERY));
  }

  #jumped(jumpMs: number): void {
    this.#jumpedToMs = this.#wall.nowMs();
    this.#staleAtMs = this.#seenAtMs;
    const seconds = Math.round(Math.abs(jumpMs) / 1000);
    const way = jumpMs > 0 ? 'forward' : 'back';
    this.#log(
      `The wall clock jumped ${way} by ${seconds} s; nothing that is timed here depends on it.`,
    );
    if (this.#present.quality === 'unverified') {
      // It was wrong all along, as far as anyone knows.
      this.#wasMoved = true;
      this.#move(Math.max(this.#differenceMs, notBeforeTrusted(this.#record.boots())));
    } else {
      this.#present = this.#nextBoot(this.#clock.nowMs() - LOOK_EVERY_MS, -Infinity);
      this.#wasMoved = false;
      this.#record.recordBoots([this.#present]);
    }
    this.#ask(true);
  }

  #ask(isThorough: boolean): void {
    if (!this.#isAsking) void this.#askNow(isThorough);
  }

  async #askNow(isThorough: boolean): Promise<void> {
    this.#isAsking = true;
    const { number } = this.#present;
    const atMs = await this.#wall.synchronisedAtMs(isThorough);
    this.#isAsking = false;
    if (atMs === null) return;
    this.#seenAtMs = atMs;
    const isNew = atMs !== this.#staleAtMs && atMs >= this.#jumpedToMs - MARKER_SLACK_MS;
    const isOpen = this.#present.number === number && this.#present.quality === 'unverified';
    if (isNew && isOpen) this.#verified();
  }

  #verified(): void {
    const offsetMs = this.#differenceMs;
    const isCorrection = this.#wasMoved || Math.abs(offsetMs - this.#present.offsetMs) > SAME_MS;
    this.#present = { ...this.#present, quality: isCorrection ? 'corrected' : 'synchronised' };
    this.#move(isCorrection ? offsetMs : this.#present.offsetMs);
    this.#log(
      isCorrection
        ? 'The wall clock is synchronised now; the times of this start are put right.'
        : 'The wall clock is synchronised.',
    );
  }

  /** Corrects the present boot, and with it earlier ones that shared its mistake. */
  #move(offsetMs: number): void {
    const byMs = offsetMs - this.#present.offsetMs;
    this.#present = { ...this.#present, offsetMs };
    const earlier = unverifiedBefore(this.#record.boots(), this.#present.number);
    const moved = earlier.map((boot) => corrected(boot, this.#present, byMs));
    this.#record.recordBoots([...moved, this.#present]);
  }

  #nextBoot(startsAtMs: number, offsetMinMs: number): Boot {
    const isSame = Math.abs(this.#differenceMs) <= SAME_MS;
    return {
      number: (this.#record.boots().at(-1)?.number ?? 0) + 1,
      startsAtMs,
      offsetMs: Math.max(isSame ? 0 : this.#differenceMs, offsetMinMs),
      quality: 'unverified',
      machineRun: this.#wall.machineRun,
    };
  }

  #difference(): number {
    return Math.round(this.#wall.nowMs() - this.#clock.nowMs());
  }
}

/** An unverified clock that lies before what is known for certain is wrong by at least that. */
function notBeforeTrusted(boots: readonly Boot[]): number {
  return boots.findLast(({ quality }) => quality !== 'unverified')?.offsetMs ?? -Infinity;
}

/** The unbroken run of unverified boots right before the one of this number. */
function unverifiedBefore(boots: readonly Boot[], number: number): Boot[] {
  const earlier = boots.filter((boot) => boot.number < number);
  const sure = earlier.findLastIndex(({ quality }) => quality !== 'unverified');
  return earlier.slice(sure + 1);
}

/** An earlier unverified boot, now that `present` was moved by so much. */
function corrected(boot: Boot, present: Boot, byMs: number): Boot {
  const isSure = present.quality !== 'unverified';
  if (boot.machineRun !== null && boot.machineRun === present.machineRun) {
    const quality = isSure && byMs !== 0 ? 'corrected' : present.quality;
    return { ...boot, offsetMs: boot.offsetMs + byMs, quality };
  }
  // Nobody knows when it was, but it ended before this one began.
  return isSure ? { ...boot, offsetMs: Math.min(boot.offsetMs, present.offsetMs) } : boot;
}
