/**
 * A process that works a store as the daemon does, on a clock that it moves by itself, while its
 * parent lets the disk misbehave. Arguments: folder of the store, file for what it was promised,
 * file to make when the disk is to be well again (or nothing). What befell it goes to standard
 * output as one JSON object.
 */
import { appendFileSync, openSync, writeFileSync, writeSync } from 'node:fs';
import { manualClock } from '../../../daemon/clock.ts';
import { openStore, type Store, StoreProblem } from '../../../daemon/store/store.ts';
import { eventWith, watchAt } from '../records.ts';

export interface Report {
  /** Why the store could not be opened; then nothing else happened. */
  problem: string | null;
  /** Last event handed in, and last one called durable. */
  lastSeq: number;
  durableSeq: number;
  isWritable: boolean;
  problems: string[];
  lines: string[];
}

const ROUNDS = 45;
const POINTS = 6;
export const START_MS = 1_777_615_200_000;

const [folder = '', promisesPath = '', lift = ''] = process.argv.slice(2);
const clock = manualClock(START_MS);
const lines: string[] = [];
let durableSeq = 0;

function promise(what: string): void {
  writeSync(promises, `${what}\n`);
}

function commit(store: Store): void {
  const seq = store.lastSeq() + 1;
  const count = 1 + (seq % 3);
  const last = seq + count - 1;
  const result = store.commit({
    alertEvents: Array.from({ length: count }, (_, index) => eventWith(seq + index)),
    panelEvents: [
      { atMs: clock.nowMs(), type: 'source live', part: 'shore', text: `after ${seq}` },
    ],
    savedWatch: watchAt(last),
  });
  if (!result.isDurable) return;
  durableSeq = last;
  promise(`event ${last}`);
}

function boot(store: Store): void {
  const number = store.boots().length + 1;
  const startsAtMs = clock.nowMs();
  store.recordBoots([
    { number, startsAtMs, offsetMs: 0, quality: 'unverified', machineRun: 'run' },
  ]);
}

function work(store: Store): void {
  boot(store);
  for (let round = 0; round < ROUNDS; round += 1) {
    clock.advanceTo(clock.nowMs() + 1000);
    for (let point = 0; point < POINTS; point += 1) {
      const atMs = clock.nowMs();
      store.addReading({ pointId: `point-${point}`, value: 12 + round + point / 10, atMs });
    }
    if (round % 2 === 1) commit(store);
  }
  if (lift !== '') {
    writeFileSync(lift, '');
    clock.advanceTo(clock.nowMs() + 70_000);
    commit(store);
  }
}

// Made before the disk misbehaves; a promise that cannot be noted would be no promise.
appendFileSync(promisesPath, '');
const promises = openSync(promisesPath, 'a');
const report: Report = {
  problem: null,
  lastSeq: 0,
  durableSeq: 0,
  isWritable: false,
  problems: [],
  lines,
};
try {
  const log = (line: string): void => void lines.push(line);
  const store = openStore({ folder, clock, log, ballastBytes: 65_536 });
  work(store);
  store.flush();
  const { isWritable, problems } = store.health();
  Object.assign(report, { lastSeq: store.lastSeq(), durableSeq, isWritable, problems });
  store.close();
} catch (error) {
  if (!(error instanceof StoreProblem)) throw error;
  report.problem = error.message;
}
console.log(JSON.stringify(report));
