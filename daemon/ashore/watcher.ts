/**
 * The watcher at work: beats in, once a second a look at who is overdue, letters out. Everything is
 * judged on the watcher's own clock; the wall clock only says whether a beat is fresh and names hours.
 */
import type { Contact, Letter } from '../../rules/index.ts';
import type { Clock } from '../clock.ts';
import type { WatchedBoat } from '../settings/boats-section.ts';
import { isSignedBy, proofOf } from '../signature.ts';
import { heardOf, objectionTo } from './admission.ts';
import type { Beat } from './beat.ts';
import { beatSchema } from './beat.ts';
import { lettersOf } from './letters.ts';
import type { AshoreRecord } from './record.ts';
import type { BoatMemory, Expectation, Standing, Step } from './silence.ts';
import { hears, newMemory, resumed, standingOf, waits } from './silence.ts';
import { timeWords } from './words.ts';

export interface WatcherOptions {
  boats: Readonly<Record<string, WatchedBoat & { key: string }>>;
  contacts: Readonly<Record<string, Contact>>;
  timeZone: string;
  clock: Clock;
  /** UTC as this computer knows it, ms. */
  utcNowMs: () => number;
  record: AshoreRecord;
  /** Takes a letter for good; throws if it cannot, and is given it again. The same key comes once. */
  tell: (letter: Letter) => void;
  log: (line: string) => void;
  /** What others have to say about the health of this watch. */
  problemsOutside?: () => string[];
}

/** A POST as it came. */
export interface Arrived {
  boat: string;
  timestamp: string;
  signature: string;
  body: Buffer;
}

export type Answer =
  | { status: 200; heard: { boot: number; sequence: number }; proof: string }
  | { status: 400 | 401 | 409 | 503; problem: string };

export interface BoatStanding {
  id: string;
  name: string;
  standing: Standing;
  /** UTC; null: never heard. */
  lastHeardAtMs: number | null;
  says: string | null;
}

const LOOK_EVERY_MS = 1000;
/** A quiet boat is written down so often, so that a restart knows how long it has listened. */
const KEEP_EVERY_MS = 60_000;
const NOT_KNOWN = 'There is no boat of that name with that secret.';

export class Watcher {
  readonly #options: WatcherOptions;
  readonly #memories: Map<string, BoatMemory>;
  readonly #stopLooking: () => void;
  #keptAtMs: number;
  #lastProblem: string | null = null;
  #refused = 0;

  constructor(options: WatcherOptions) {
    this.#options = options;
    const { boats, record, clock } = options;
    const nowMs = clock.nowMs();
    record.forgetBoatsBut(Object.keys(boats));
    const kept = record.memories();
    this.#memories = new Map(
      Object.keys(boats).map((id) => {
        const memory = kept.get(id);
        return [id, memory ? resumed(memory, nowMs) : newMemory(nowMs)];
      }),
    );
    this.#keptAtMs = nowMs;
    this.#stopLooking = clock.every(LOOK_EVERY_MS, () => this.look());
    this.#handOver();
  }

  /** Judges every boat as of now. */
  look(): void {
    const nowMs = this.#options.clock.nowMs();
    const isDue = nowMs - this.#keptAtMs >= KEEP_EVERY_MS;
    if (isDue) this.#keptAtMs = nowMs;
    for (const [id, memory] of this.#memories) {
      const step = waits(memory, this.#expected(id), nowMs);
      this.#take(id, step, isDue);
    }
    this.#handOver();
  }

  /** Takes one beat, or says in a sentence why not. */
  beat({ boat, timestamp, signature, body }: Arrived): Answer {
    const known = Object.hasOwn(this.#options.boats, boat) ? this.#options.boats[boat] : undefined;
    // Who guesses names learns nothing, not even by the time it takes.
    const isSigned = isSignedBy(known?.key ?? 'no such boat', timestamp, body, signature);
    if (!known || !isSigned) return this.#refuse(401, NOT_KNOWN);
    const read = beatSchema.safeParse(parsed(body));
    if (!read.success) {
      const [issue] = read.error.issues;
      const where = issue?.path.map(String).join('.') ?? '';
      return this.#refuse(
        400,
        `This is not a beat: ${where === '' ? '' : `${where}: `}${issue?.message ?? 'unreadable'}.`,
      );
    }
    if (String(read.data.sentAtMs) !== timestamp) {
      return this.#refuse(400, 'The instant of the beat is not the one it is signed with.');
    }
    return this.#letIn(boat, read.data, known.key, signature);
  }

  standings(): BoatStanding[] {
    const offsetMs = this.#offsetMs();
    return [...this.#memories].map(([id, memory]) => ({
      id,
      name: this.#options.boats[id]?.name ?? id,
      standing: standingOf(memory, this.#expected(id)),
      lastHeardAtMs: memory.last === null ? null : Math.round(memory.last.receivedAtMs + offsetMs),
      says: memory.last?.beat.says ?? null,
    }));
  }

  /** Since start. */
  get refused(): number {
    return this.#refused;
  }

  problems(): string[] {
    const nobody = Object.keys(this.#options.contacts).length === 0;
    return [
      ...(nobody ? ['Nobody is told: the settings name no contact under `telling`.'] : []),
      ...(this.#lastProblem === null ? [] : [this.#lastProblem]),
      ...(this.#options.problemsOutside?.() ?? []),
    ];
  }

  stop(): void {
    this.#stopLooking();
    for (const [id, memory] of this.#memories) this.#keep(id, memory, []);
  }

  #letIn(id: string, beat: Beat, secret: string, signature: string): Answer {
    const { clock, utcNowMs } = this.#options;
    const memory = this.#memories.get(id);
    if (!memory) return this.#refuse(401, NOT_KNOWN);
    const objection = objectionTo(beat, memory.last, utcNowMs());
    if (objection !== null) return this.#refuse(409, objection);
    const nowMs = clock.nowMs();
    this.#take(id, waits(memory, this.#expected(id), nowMs), false);
    const waited = this.#memories.get(id) ?? memory;
    const step = hears(waited, heardOf(beat, memory.last, nowMs));
    if (!this.#take(id, step, true)) {
      return { status: 503, problem: 'The watcher ashore cannot write to its disk.' };
    }
    this.#handOver();
    const heard = { boot: beat.boot, sequence: beat.sequence };
    return { status: 200, heard, proof: proofOf(secret, signature) };
  }

  /** Goes on from `step`; false where that is not on the disk. */
  #take(id: string, { memory, news }: Step, isKept: boolean): boolean {
    this.#memories.set(id, memory);
    if (!news) return !isKept || this.#keep(id, memory, []);
    const { contacts, timeZone, boats, log } = this.#options;
    const offsetMs = this.#offsetMs();
    const inZone = timeWords(timeZone);
    const told = {
      boat: id,
      name: boats[id]?.name ?? id,
      contacts,
      at: (ms: number, nowMs: number) => inZone(ms + offsetMs, nowMs + offsetMs),
    };
    const letters = lettersOf(news, told);
    const [first] = letters;
    log(first?.headline ?? `${told.name}: ${news.type}, and nobody is told.`);
    return this.#keep(id, memory, letters);
  }

  #keep(id: string, memory: BoatMemory, letters: readonly Letter[]): boolean {
    try {
      this.#options.record.keep(id, memory, letters);
      this.#lastProblem = null;
      return true;
    } catch (error) {
      this.#complain('The watcher cannot write to its disk', error);
      // Told all the same: better twice after a restart than not at all.
      for (const letter of letters) this.#give(letter);
      return false;
    }
  }

  #handOver(): void {
    try {
      for (const letter of this.#options.record.waitingLetters()) {
        if (this.#give(letter)) this.#options.record.letterTaken(letter.key);
      }
    } catch (error) {
      this.#complain('The watcher cannot read its disk', error);
    }
  }

  #give(letter: Letter): boolean {
    try {
      this.#options.tell(letter);
      return true;
    } catch (error) {
      this.#complain('A letter could not be handed over', error);
      return false;
    }
  }

  #complain(what: string, error: unknown): void {
    const problem = `${what}: ${error instanceof Error ? error.message : String(error)}.`;
    if (problem !== this.#lastProblem) this.#options.log(problem);
    this.#lastProblem = problem;
  }

  #refuse(status: 400 | 401 | 409, problem: string): Answer {
    this.#refused += 1;
    return { status, problem };
  }

  #offsetMs(): number {
    return this.#options.utcNowMs() - this.#options.clock.nowMs();
  }

  #expected(id: string): Expectation {
    const {
      everySeconds = 120,
      overdueBeats = 3,
      expectedOffline = [],
    } = this.#options.boats[id] ?? {};
    const offsetMs = this.#offsetMs();
    return {
      everyMs: everySeconds * 1000,
      overdueBeats,
      offline: expectedOffline.map(({ from, to }) => ({
        fromMs: from - offsetMs,
        toMs: to - offsetMs,
      })),
    };
  }
}

function parsed(body: Buffer): unknown {
  try {
    return JSON.parse(body.toString('utf8'));
  } catch {
    return undefined;
  }
}
