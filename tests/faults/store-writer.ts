/**
 * A process that works a store hard until it is killed: alert events as fast as the disk takes
 * them, and readings of forty points. Arguments: folder of the store, file for what it was
 * promised. Each line there is written after the promise: `event <seq>` or `readings <atMs>`.
 */
import { openSync, writeSync } from 'node:fs';
import { startClock } from '../../daemon/clock.ts';
import { openStore } from '../../daemon/store/store.ts';
import { eventWith, watchAt } from './records.ts';

const POINTS = 40;

const [folder = '', promisesPath = ''] = process.argv.slice(2);
const promises = openSync(promisesPath, 'a');
const clock = startClock();
const store = openStore({ folder, clock, log: () => {} });

/** Time of readings goes on from run to run, one step for each round. */
let atMs = Math.floor(clock.nowMs());

function round(): void {
  const seq = store.lastSeq() + 1;
  const count = 1 + (seq % 3);
  const alertEvents = Array.from({ length: count }, (_, index) => eventWith(seq + index));
  const last = seq + count - 1;
  const result = store.commit({ alertEvents, panelEvents: [], savedWatch: watchAt(last) });
  if (result.isDurable) writeSync(promises, `event ${last}\n`);
  else writeSync(promises, `refused ${last} ${result.problem}\n`);
  atMs += 100;
  for (let point = 0; point < POINTS; point += 1) {
    store.addReading({ pointId: `point-${point}`, value: atMs + point, atMs });
  }
  if (seq % 7 === 0) {
    store.flush();
    if (store.health().readingsBuffered === 0) writeSync(promises, `readings ${atMs}\n`);
  }
}

writeSync(promises, 'open\n');
// As the daemon does, it lets its own timers (the checkpoint) have their turn.
setInterval(round, 0);
// Should nobody be left to kill it, it ends by itself.
setTimeout(() => process.exit(1), 30_000);
