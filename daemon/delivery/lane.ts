/**
 * One way's own queue: one letter at a time, most urgent first, with its own waiting after a failure.
 * So a way that hangs delays no other. What came of a letter is on the disk before the next goes: a
 * crash in between sends one letter twice at most, and loses none.
 */
import type { Letter } from '../../rules/index.ts';
import type { Clock } from '../clock.ts';
import type { CommitBatch, LetterMark, WaitingLetter } from '../store/store.ts';
import { backoffMs, capMs } from './backoff.ts';
import { isUrgent, pick, type Pick } from './picking.ts';
import { later, type Outcome, type Refusal, type Way, wordsOf } from './way.ts';

/** What delivery needs of the store. */
export interface LetterStore {
  waitingLetters(): WaitingLetter[];
  commit(batch: CommitBatch): unknown;
}

export interface LaneOptions {
  way: Way;
  store: LetterStore;
  clock: Clock;
  /** For the whole time of one try: real time. */
  linkClock: Clock;
  random: () => number;
  digestOf: (letters: readonly Letter[], nowMs: number) => Letter;
  log: (line: string) => void;
  /** Called when this way works again after it did not. */
  onRecovered: () => void;
}

const WHOLE_TRY_MS = 20_000;

export class Lane {
  readonly #given: LaneOptions;
  #running: Promise<void> | null = null;
  #failures = 0;
  #pausedUntilMs = -Infinity;
  /** The other end asked for it: nothing goes before, however urgent. */
  #askedUntilMs = -Infinity;
  /** Urgent letters that were tried since the way failed; others do not wait for their turn. */
  readonly #tried = new Set<string>();
  readonly #stop = new AbortController();
  failingSinceMs: number | null = null;
  lastProblem: string | null = null;
  /** Refused for good since the last that went; whole sentence. */
  refusedForGood: string | null = null;

  constructor(given: LaneOptions) {
    this.#given = given;
  }

  get way(): Way {
    return this.#given.way;
  }

  get isBusy(): boolean {
    return this.#running !== null;
  }

  /** Sends what is due, if anything is and nothing is on its way. Returns at once. */
  look(): void {
    if (this.isBusy || this.#stop.signal.aborted) return;
    const nowMs = this.#given.clock.nowMs();
    const mine = this.#given.store
      .waitingLetters()
      .filter(({ letter }) => letter.way === this.way.id);
    if (mine.length === 0) return;
    const picked = pick(this.#unlessPaused(mine, nowMs), nowMs);
    if (picked === null) return;
    this.#running = this.#run(picked);
  }

  /** Tries again within `withinMs`: somebody else's way works, so this one may too. */
  hurry(withinMs: number): void {
    if (this.failingSinceMs === null) return;
    const nowMs = this.#given.clock.nowMs();
    this.#pausedUntilMs = Math.min(this.#pausedUntilMs, nowMs + withinMs);
    this.#retryAll(withinMs);
  }

  /** Ends what is on its way; it goes again after the next start. */
  async stop(): Promise<void> {
    this.#stop.abort();
    await this.#running;
  }

  /** One try outside of the queue, within the whole time of a try. */
  async attempt(letter: Letter): Promise<Outcome> {
    const limit = new AbortController();
    const cancel = this.#given.linkClock.after(WHOLE_TRY_MS, () => limit.abort());
    const signal = AbortSignal.any([limit.signal, this.#stop.signal]);
    try {
      return await Promise.race([this.way.send(letter, signal), outOfTime(signal)]);
    } catch (error) {
      // A mistake of ours in one way must not silence the others.
      this.#given.log(`The way out "${this.way.id}" failed: ${wordsOf(error)}`);
      return later(wordsOf(error));
    } finally {
      cancel();
    }
  }

  /** While the way waits after a failure, only contacts with an urgent letter that it has not tried. */
  #unlessPaused(mine: readonly WaitingLetter[], nowMs: number): readonly WaitingLetter[] {
    if (nowMs < this.#askedUntilMs) return [];
    if (nowMs >= this.#pausedUntilMs) return mine;
    const urgent = mine.filter(({ letter }) => letter.dueAtMs <= nowMs && isUrgent(letter));
    if (urgent.length > 0) {
      this.#pausedUntilMs = Math.min(this.#pausedUntilMs, nowMs + capMs(true));
    }
    const untried = urgent.filter(({ letter }) => !this.#tried.has(letter.key));
    const contacts = new Set(untried.map(({ letter }) => letter.contact));
    return mine.filter(({ letter }) => contacts.has(letter.contact));
  }

  async #run(picked: Pick): Promise<void> {
    const mayGoOn = await this.#handle(picked);
    this.#running = null;
    if (mayGoOn) this.look();
  }

  /** Whether the next may go at once. */
  async #handle(picked: Pick): Promise<boolean> {
    const { clock, digestOf } = this.#given;
    if (picked.what === 'stale') {
      this.#mark(picked.of, 'given up', 'It was out of date before it could go.');
      return true;
    }
    const members = picked.what === 'letter' ? [picked.one] : picked.of;
    const letter =
      picked.what === 'letter'
        ? picked.one.letter
        : digestOf(
            members.map((member) => member.letter),
            clock.nowMs(),
          );
    const outcome = await this.attempt(letter);
    // What was on its way when the daemon ended is not known to have come; it goes again.
    if (this.#stop.signal.aborted && 'problem' in outcome) return false;
    if ('answer' in outcome) this.#sent(picked, letter, members, outcome.answer);
    else this.#refused(picked, members, outcome);
    return 'answer' in outcome || outcome.isFinal;
  }

  #sent(picked: Pick, letter: Letter, members: readonly WaitingLetter[], answer: string): void {
    if (picked.what === 'letter') this.#mark(members, 'sent', null, answer, 1);
    else {
      const own = { letter, attempts: 0, nextTryAtMs: letter.dueAtMs, problem: null };
      this.#commit(
        [
          ...members.map((member) => this.#markOf(member, 'in a digest', null, letter.key)),
          this.#markOf(own, 'sent', null, answer, 1),
        ],
        [letter],
      );
    }
    const isRecovered = this.failingSinceMs !== null;
    this.#failures = 0;
    this.#pausedUntilMs = -Infinity;
    this.#tried.clear();
    this.failingSinceMs = null;
    this.lastProblem = null;
    this.refusedForGood = null;
    if (!isRecovered) return;
    this.#retryAll();
    this.#given.onRecovered();
  }

  #refused(picked: Pick, members: readonly WaitingLetter[], refusal: Refusal): void {
    const nowMs = this.#given.clock.nowMs();
    const sentence = `By "${this.way.id}": ${refusal.problem}.`;
    this.#given.log(`A message could not be sent. ${sentence}`);
    if (refusal.isFinal) {
      this.refusedForGood = sentence;
      this.#mark(members, 'given up', sentence, null, 1);
      return;
    }
    this.#failures += 1;
    this.failingSinceMs ??= nowMs;
    this.lastProblem = refusal.problem;
    const urgent = members.filter(({ letter }) => isUrgent(letter));
    for (const { letter } of urgent) this.#tried.add(letter.key);
    const waitMs = backoffMs(this.#failures, urgent.length > 0, this.#given.random());
    this.#pausedUntilMs = nowMs + waitMs;
    if (refusal.retryAfterMs !== undefined) this.#askedUntilMs = nowMs + refusal.retryAfterMs;
    // A digest is made anew each time, so its members are left as they are.
    if (picked.what === 'letter') {
      const [one] = members;
      const failures = (one?.attempts ?? 0) + 1;
      const ownMs = backoffMs(failures, urgent.length > 0, this.#given.random());
      this.#mark(members, 'waiting', sentence, null, 1, Math.max(waitMs, ownMs));
    }
  }

  /** What waits for its own next try need not wait any more. */
  #retryAll(withinMs = 0): void {
    const byMs = this.#given.clock.nowMs() + withinMs;
    const held = this.#given.store.waitingLetters().filter(({ letter, nextTryAtMs, attempts }) => {
      return letter.way === this.way.id && attempts > 0 && nextTryAtMs > byMs;
    });
    if (held.length === 0) return;
    this.#commit(held.map((one) => this.#markOf(one, 'waiting', one.problem, null, 0, withinMs)));
  }

  #mark(
    members: readonly WaitingLetter[],
    state: LetterMark['state'],
    problem: string | null,
    answer: string | null = null,
    tries = 0,
    waitMs = 0,
  ): void {
    this.#commit(members.map((one) => this.#markOf(one, state, problem, answer, tries, waitMs)));
  }

  #markOf(
    { letter, attempts }: WaitingLetter,
    state: LetterMark['state'],
    problem: string | null,
    answer: string | null,
    tries = 0,
    waitMs = 0,
  ): LetterMark {
    const atMs = this.#given.clock.nowMs();
    return {
      key: letter.key,
      state,
      atMs,
      attempts: attempts + tries,
      nextTryAtMs: atMs + waitMs,
      problem,
      answer,
    };
  }

  #commit(letterMarks: readonly LetterMark[], letters: readonly Letter[] = []): void {
    this.#given.store.commit({ alertEvents: [], panelEvents: [], letters, letterMarks });
  }
}

function outOfTime(signal: AbortSignal): Promise<Outcome> {
  return new Promise((resolve) => {
    const end = (): void => resolve(later('it did not answer in time'));
    if (signal.aborted) end();
    else signal.addEventListener('abort', end, { once: true });
  });
}
