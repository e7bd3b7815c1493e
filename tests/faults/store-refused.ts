/**
 * A process whose files may not grow beyond a bound that its parent set: from some write on the
 * disk refuses. It works on all the same, then lifts the bound by itself and goes on. Argument:
 * folder of the store. What befell it goes to standard output as one JSON object.
 */
import { spawnSync } from 'node:child_process';
import { manualClock } from '../../daemon/clock.ts';
import { openStore, type Store, StoreProblem } from '../../daemon/store/store.ts';
import { eventWith, watchAt } from './records.ts';

export interface Report {
  /** Why the store could not be opened; then nothing else happened. */
  problem: string | null;
  /** Commits in order: whether each was durable. */
  durable: boolean[];
  /** Health while it was refused, and after the bound was lifted. */
  isWritableBefore: boolean;
  isWritableAfter: boolean;
  lines: string[];
  readings: number;
}

const ROUNDS = 60;
const POINTS = 40;
const START_MS = 1_777_615_200_000;

const report: Report = {
  problem: null,
  durable: [],
  isWritableBefore: true,
  isWritableAfter: false,
  lines: [],
  readings: 0,
};
const clock = manualClock(START_MS);

function work(store: Store, rounds: number): void {
  for (let round = 0; round < rounds; round += 1) {
    clock.advanceTo(clock.nowMs() + 900);
    const seq = store.lastSeq() + 1;
    const result = store.commit({
      alertEvents: [eventWith(seq)],
      panelEvents: [],
      savedWatch: watchAt(seq),
    });
    report.durable.push(result.isDurable);
    for (let point = 0; point < POINTS; point += 1) {
      store.addReading({ pointId: `point-${point}`, value: round, atMs: clock.nowMs() });
      report.readings += 1;
    }
  }
}

try {
  const [folder = ''] = process.argv.slice(2);
  const store = openStore({ folder, clock, log: (line) => report.lines.push(line) });
  work(store, ROUNDS);
  report.isWritableBefore = store.health().isWritable;
  spawnSync('prlimit', ['--pid', String(process.pid), '--fsize=unlimited:']);
  clock.advanceTo(clock.nowMs() + 10_000);
  work(store, 1);
  store.flush();
  report.isWritableAfter = store.health().isWritable;
  store.close();
} catch (error) {
  if (!(error instanceof StoreProblem)) throw error;
  report.problem = error.message;
}
console.log(JSON.stringify(report));
