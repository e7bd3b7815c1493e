/**
 * Takes letters from the outbox and sends them, each way for itself. Claims nothing on the disk: the
 * record belongs to this process alone, and a letter is waiting until what came of it is written.
 */
import type { Letter } from '../../rules/index.ts';
import type { Clock } from '../clock.ts';
import type { LetterMark, WayRecord } from '../store/store.ts';
import { Lane, type LetterStore } from './lane.ts';
import { never, type Outcome, type Way } from './way.ts';

export interface WorkerOptions {
  ways: readonly Way[];
  store: LetterStore & { wayRecords(): WayRecord[]; lettersDropped(): number };
  clock: Clock;
  /** For waiting on the network, at real speed. Default: `clock`. */
  linkClock?: Clock;
  /** Numbers in 0..1, for the jitter of trying again. */
  random: () => number;
  digestOf: (letters: readonly Letter[], nowMs: number) => Letter;
  log: (line: string) => void;
}

/** How one way fares. */
export interface WayState {
  id: string;
  kind: string;
  waiting: number;
  givenUp: number;
  lastSentAtMs: number | null;
  lastAnswer: string | null;
  lastTriedAtMs: number | null;
  lastProblem: string | null;
  failingSinceMs: number | null;
}

const LOOK_EVERY_MS = 1000;
/** A way that fails for so long is said to a person. */
const SAID_AFTER_MS = 15 * 60_000;
/** Others try within so long once one works again. */
const HURRY_MS = 30_000;

export class Worker {
  readonly #given: WorkerOptions;
  readonly #lanes: ReadonlyMap<string, Lane>;
  #stopLooking: () => void = () => {};
  #isStopped = false;

  constructor(given: WorkerOptions) {
    this.#given = given;
    const { clock, linkClock = clock } = given;
    this.#lanes = new Map(
      given.ways.map((way) => [
        way.id,
        new Lane({ ...given, way, linkClock, onRecovered: () => this.networkIsBack() }),
      ]),
    );
  }

  start(): void {
    this.#giveUpOrphans();
    this.#stopLooking = this.#given.clock.every(LOOK_EVERY_MS, () => this.look());
  }

  /** Sends what is due. Returns at once. */
  look(): void {
    for (const lane of this.#lanes.values()) lane.look();
  }

  /** Something outside was reached: ways that wait after a failure try soon. */
  networkIsBack(): void {
    for (const lane of this.#lanes.values()) lane.hurry(this.#given.random() * HURRY_MS);
  }

  /**
   * Sends a letter now, outside of the queue, and writes into the record what came of it. It is not
   * tried again.
   */
  async sendNow(letter: Letter): Promise<Outcome> {
    const lane = this.#lanes.get(letter.way);
    if (lane === undefined) return never(`no way out is called "${letter.way}"`);
    const outcome = await lane.attempt(letter);
    if (this.#isStopped) return outcome;
    const atMs = this.#given.clock.nowMs();
    const mark: LetterMark = {
      key: letter.key,
      state: 'answer' in outcome ? 'sent' : 'given up',
      atMs,
      attempts: 1,
      nextTryAtMs: atMs,
      problem: 'answer' in outcome ? null : `By "${letter.way}": ${outcome.problem}.`,
      answer: 'answer' in outcome ? outcome.answer : null,
    };
    this.#given.store.commit({
      alertEvents: [],
      panelEvents: [],
      letters: [letter],
      letterMarks: [mark],
    });
    return outcome;
  }

  /** In the order of the settings. */
  states(): WayState[] {
    const records = new Map(this.#given.store.wayRecords().map((record) => [record.way, record]));
    return [...this.#lanes.values()].map(({ way: { id, kind }, failingSinceMs, lastProblem }) => {
      const record = records.get(id);
      return {
        id,
        kind,
        waiting: record?.waiting ?? 0,
        givenUp: record?.givenUp ?? 0,
        lastSentAtMs: record?.lastSentAtMs ?? null,
        lastAnswer: record?.lastAnswer ?? null,
        lastTriedAtMs: record?.lastTriedAtMs ?? null,
        lastProblem: lastProblem ?? record?.lastProblem ?? null,
        failingSinceMs,
      };
    });
  }

  /** Whole sentences about what does not leave the boat; empty when all is well. */
  problems(): string[] {
    const nowMs = this.#given.clock.nowMs();
    const dropped = this.#given.store.lettersDropped();
    const lanes = [...this.#lanes.values()];
    return [
      ...lanes.flatMap((lane) => silenceOf(lane, nowMs)),
      ...lanes.flatMap(({ refusedForGood }) =>
        refusedForGood === null ? [] : `A message was refused for good. ${refusedForGood}`,
      ),
      ...(dropped === 0
        ? []
        : [`${dropped} messages were dropped: more waited than there is room for.`]),
    ];
  }

  /** Ends what is on its way; it goes again after the next start. */
  async stop(): Promise<void> {
    this.#isStopped = true;
    this.#stopLooking();
    await Promise.all([...this.#lanes.values()].map((lane) => lane.stop()));
  }

  /** Letters for ways that are no longer in the settings: nobody will ever send them. */
  #giveUpOrphans(): void {
    const { store, clock } = this.#given;
    const atMs = clock.nowMs();
    const letterMarks = store
      .waitingLetters()
      .filter(({ letter }) => !this.#lanes.has(letter.way))
      .map(({ letter, attempts }): LetterMark => {
        const problem = `No way out is called "${letter.way}" any more.`;
        const state = 'given up';
        return { key: letter.key, state, atMs, attempts, nextTryAtMs: atMs, problem, answer: null };
      });
    if (letterMarks.length > 0) store.commit({ alertEvents: [], panelEvents: [], letterMarks });
  }
}

/** What is said of a way by which nothing leaves, once that has lasted. */
export function silenceOf(
  {
    way,
    failingSinceMs,
    lastProblem,
  }: Pick<Lane, 'failingSinceMs' | 'lastProblem'> & {
    way: { id: string };
  },
  nowMs: number,
): string[] {
  const forMs = failingSinceMs === null ? 0 : nowMs - failingSinceMs;
  if (forMs <= SAID_AFTER_MS) return [];
  const minutes = Math.floor(forMs / 60_000);
  return [`Nothing has left by "${way.id}" for ${minutes} minutes: ${lastProblem}.`];
}
