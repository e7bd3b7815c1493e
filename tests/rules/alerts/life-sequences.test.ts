/**
 * Random lives: readings, persons, time and restarts in any order, over one ledger. The promises
 * stand in `life-witness.ts`. `SEQUENCES=1000000` plays a million instead of a few thousand.
 */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Act, Alert, AlertEvent, Finding, Mode } from '../../../rules/alerts/alert.ts';
import type { Check, Verdict } from '../../../rules/alerts/check.ts';
import { Ledger } from '../../../rules/alerts/ledger.ts';
import type { SavedLedger } from '../../../rules/alerts/ledger.ts';
import { keeps, LifeWitness } from './life-witness.ts';

const SEQUENCES = Number(process.env['SEQUENCES'] ?? 3000);

const VERDICTS: readonly Verdict[] = ['raise', 'clear', 'hold', 'unknown'];
const WAITS_MS = [0, 1000, 1000, 9000, 40_000, 40_000, 300_000, 14_000_000] as const;
const HOUR_MS = 3_600_000;
/** Breaks in watching that are shorter change nothing at all. */
const SHORT_MS = 10_000;

/** One step, read from the bits of a number. */
interface Beat {
  waitMs: number;
  act: number;
  verdicts: readonly [Verdict, Verdict, Verdict, Verdict];
  mode: Mode;
  target: number;
  length: number;
  isRestart: boolean;
  isBackwards: boolean;
}

const bits = (n: number, from: number, count: number): number => (n >>> from) & ((1 << count) - 1);

function beatOf(n: number): Beat {
  const verdict = (at: number): Verdict => VERDICTS[bits(n, at, 2)] ?? 'unknown';
  return {
    waitMs: WAITS_MS[bits(n, 0, 3)] ?? 0,
    act: bits(n, 3, 4),
    verdicts: [verdict(7), verdict(9), verdict(11), verdict(13)],
    mode: bits(n, 15, 3) === 0 ? 'away' : 'aboard',
    target: bits(n, 18, 2),
    length: bits(n, 20, 4),
    isRestart: bits(n, 24, 2) === 0,
    isBackwards: bits(n, 26, 4) === 0,
  };
}

function finding(key: string, priority: Finding['priority'], needsInspection: boolean): Finding {
  return {
    rule: key,
    subject: { part: key },
    priority,
    title: `${key} holds`,
    means: '.',
    doThis: '.',
    cautions: [],
    evidence: [],
    confidence: 'measured',
    points: [],
    ...(needsInspection && { needsInspection: true as const }),
  };
}

/** `a`: an alarm that may become an emergency. `b`: quiet in a mode, a symptom of `c`, to be inspected. */
function checksOf({ verdicts: [grave, plain, symptom, cause] }: Beat): Check[] {
  const check = (key: string, levels: Check['levels'], more: Partial<Check> = {}): Check => ({
    rule: key,
    key,
    levels,
    offDelayMs: 0,
    describe: (priority) => finding(key, priority, key === 'b'),
    ...more,
  });
  return [
    check('a', [
      { priority: 'emergency alarm', verdict: grave, onDelayMs: 0 },
      { priority: 'alarm', verdict: plain, onDelayMs: 0 },
    ]),
    check('b', [{ priority: 'warning', verdict: symptom, onDelayMs: 0 }], { modes: ['aboard'] }),
    check('c', [{ priority: 'caution', verdict: cause, onDelayMs: 0 }], { explains: ['b'] }),
  ];
}

function actOf({ act, length }: Beat, nowMs: number): Act | null {
  const acts: readonly Act[] = [
    { type: 'acknowledge' },
    { type: 'silence' },
    // Some too long, one in the past.
    { type: 'shelve', untilMs: nowMs + (length - 1) * HOUR_MS },
    { type: 'unshelve' },
    { type: 'take out of service', reason: 'test', reviewAtMs: nowMs + (length - 1) * 8 * HOUR_MS },
    { type: 'put back in service' },
    { type: 'inspect' },
  ];
  return acts[act] ?? null;
}

function restarted(ledger: Ledger): Ledger {
  const saved: SavedLedger = JSON.parse(JSON.stringify(ledger.save()));
  return new Ledger(saved, 0);
}

/** Silence neither raises nor clears, and what is seen to hold is told. */
function isTruthful(
  { verdicts, mode }: Beat,
  events: readonly AlertEvent[],
  open: readonly Alert[],
): void {
  const standing = (key: string): Alert | undefined =>
    open.find(
      ({ rule, phase }) => rule === key && (phase === 'unacknowledged' || phase === 'acknowledged'),
    );
  const [grave, plain, symptom, cause] = verdicts;
  if (mode === 'aboard' && verdicts.every((verdict) => verdict === 'unknown')) {
    const isTold = events.some(({ type }) => type === 'raised' || type === 'returned');
    keeps(!isTold, 'silence neither raises nor clears');
  }
  if (grave === 'raise')
    keeps(standing('a')?.priority === 'emergency alarm', 'the gravest is told');
  if (plain === 'raise') keeps(standing('a') !== undefined, 'what holds stands');
  if (cause === 'raise') keeps(standing('c') !== undefined, 'a cause that holds stands');
  if (symptom === 'raise' && mode === 'aboard') {
    const teller = standing('c');
    const isTold = teller ? teller.symptoms.some(({ key }) => key === 'b') : standing('b');
    keeps(Boolean(isTold), 'a symptom is told inside its cause, or by itself');
  }
}

/** Plays one life. `twin`: beside it the same without restarts, which must be the same. */
function play(numbers: readonly number[], isTwin: boolean): void {
  let ledger = new Ledger({}, 0);
  const twin = new Ledger({}, 0);
  const witness = new LifeWitness();
  let nowMs = 1_000_000;
  let evaluatedMs = nowMs;
  /** The ledger's own time: it stands still while it is told an earlier one. */
  let heardMs = 0;
  let { verdicts } = beatOf(0);
  for (const own of numbers.map(beatOf)) {
    // What holds mostly goes on, or no life would ever be long.
    if (own.length % 4 === 0) verdicts = own.verdicts;
    const beat: Beat = { ...own, verdicts };
    nowMs += beat.waitMs;
    const isShort = nowMs - heardMs < SHORT_MS;
    if (beat.isRestart && (!isTwin || isShort)) ledger = restarted(ledger);
    const givenMs = beat.isBackwards && heardMs > 0 ? nowMs - 86_400_000 : nowMs;
    heardMs = Math.max(heardMs, givenMs);
    const act = actOf(beat, heardMs);
    const target = ledger.open()[beat.target];
    const step = (of: Ledger): AlertEvent[] => {
      if (!act) return of.run(checksOf(beat), givenMs, nowMs - evaluatedMs, beat.mode);
      const done = of.act(target?.id ?? 'nobody', act, 'Kim', givenMs);
      return 'events' in done ? done.events : [];
    };
    const events = step(ledger);
    const open = ledger.open();
    witness.notes(events, open, heardMs);
    if (!act) {
      evaluatedMs = nowMs;
      witness.isUpToDate(open, heardMs);
      isTruthful(beat, events, open);
    }
    if (!isTwin) continue;
    const beside = JSON.stringify(step(twin));
    if (JSON.stringify(events) !== beside) expect(events).toEqual(JSON.parse(beside));
  }
}

const lives = fc.array(fc.nat({ max: 2 ** 30 - 1 }), { minLength: 1, maxLength: 40 });
const parameters = { numRuns: SEQUENCES / 2, verbose: fc.VerbosityLevel.None };
const LONGEST_MS = 3_600_000;

test(
  'whatever happens in whatever order: no promise is broken, nor by restarts with long breaks',
  { timeout: LONGEST_MS },
  () => {
    fc.assert(
      fc.property(lives, (numbers) => play(numbers, false)),
      parameters,
    );
  },
);

test('a restart at any point changes nothing', { timeout: LONGEST_MS }, () => {
  fc.assert(
    fc.property(lives, (numbers) => play(numbers, true)),
    parameters,
  );
});
