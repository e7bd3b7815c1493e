/**
 * A process that writes alerts with their letters into a store and sends them by webhook, until it is
 * killed. Arguments: folder of the store, port of the receiver, letters to be written in all.
 */
import { startClock } from '../../daemon/clock.ts';
import { webhookWay } from '../../daemon/delivery/webhook-way.ts';
import { Worker } from '../../daemon/delivery/worker.ts';
import { openStore } from '../../daemon/store/store.ts';
import { digestOf } from '../../rules/index.ts';
import { eventWith, letterOf } from './records.ts';

const [folder = '', port = '', letters = ''] = process.argv.slice(2);
const clock = startClock();
const log = (line: string): void => void process.stderr.write(`${line}\n`);
const store = openStore({ folder, clock, log });
for (let seq = store.lastSeq() + 1; seq <= Number(letters); seq += 1) {
  const letter = letterOf(seq, clock.nowMs());
  store.commit({ alertEvents: [eventWith(seq)], panelEvents: [], letters: [letter] });
}
const way = webhookWay({
  id: 'hook',
  url: `http://127.0.0.1:${port}/`,
  secret: 'a key',
  onBoat: true,
  utcNowMs: () => clock.nowMs(),
});
const worker = new Worker({
  ways: [way],
  store,
  clock,
  random: Math.random,
  digestOf: (all, nowMs) => digestOf(all, nowMs, 'UTC'),
  log,
});
worker.start();
worker.look();
process.stdout.write('started\n');
