/**
 * Messages a second from an MQTT client through intake, rules and store, beside the embedded broker
 * alone, with the same client, both several times in turn. The client floods; sensors of a boat send
 * a hundred messages a second at most. Told are the rate and the processor time of the receiving
 * thread: other work on the machine spoils the first far more than the second.
 */
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { createServer } from 'node:net';
import type { AddressInfo } from 'node:net';
import { Worker } from 'node:worker_threads';
import { Aedes } from 'aedes';
import { startClock } from '../../daemon/clock.ts';
import { startIntake } from '../../daemon/intake/intake.ts';
import { Station } from '../../daemon/station.ts';
import { openStore } from '../../daemon/store/store.ts';
import type { Boat } from '../../rules/index.ts';
import { benchBoat } from './per-reading.ts';
import { quantile } from './figures.ts';
import { withFolder } from './history-folder.ts';

const CIRCUITS = 60;
const MESSAGES = 100_000;
const ROUNDS = 7;
/** Of each, before any counts: code that runs often is compiled only after a while. */
const WARM_UP = 1;

/** What a receiver must offer: where to send, and when the last message has come. */
interface Receiver {
  port: number;
  received: () => number;
  stop: () => Promise<void>;
}

async function bareBroker(): Promise<Receiver> {
  const broker = await Aedes.createBroker();
  let received = 0;
  broker.on('publish', (_, client) => {
    if (client !== null) received += 1;
  });
  const server = createServer((socket) => void broker.handle(socket));
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    port: (server.address() as AddressInfo).port,
    received: () => received,
    stop: async () => {
      await new Promise<void>((resolve) => broker.close(() => resolve()));
      server.close();
    },
  };
}

async function wholePath(boat: Boat, folder: string): Promise<Receiver> {
  const clock = startClock();
  const store = openStore({ folder, clock, log: () => {}, ballastBytes: 0 });
  const station = new Station(boat, store, clock);
  let received = 0;
  const intake = await startIntake({
    boat,
    clock,
    random: Math.random,
    log: { info: () => {}, warn: () => {} },
    mqtt: { broker: 'embedded', port: 0 },
    messagesPerSecond: 10 * MESSAGES,
    onReading: (input) => {
      station.take(input);
      received += 1;
    },
  });
  if ('problem' in intake) throw new Error(intake.problem);
  station.start();
  return {
    port: Number(intake.mqttAddress.split(':').at(-1)),
    received: () => received,
    stop: async () => {
      await intake.stop();
      station.stop();
      store.close();
    },
  };
}

interface Round {
  /** Messages a second, from the first that was sent until the last has come. */
  rate: number;
  /** Processor time of this thread for each message. */
  micros: number;
}

async function roundOf(receiver: Receiver, topics: readonly string[]): Promise<Round> {
  const client = new Worker(new URL('full-path-client.js', import.meta.url), {
    workerData: { port: receiver.port, topics, messages: MESSAGES },
  });
  try {
    await once(client, 'message');
    const [start, worked] = [performance.now(), threadMicros()];
    client.postMessage('go');
    while (receiver.received() < MESSAGES) await new Promise((resolve) => setTimeout(resolve, 5));
    return {
      rate: MESSAGES / ((performance.now() - start) / 1000),
      micros: (threadMicros() - worked) / MESSAGES,
    };
  } finally {
    await client.terminate();
    await receiver.stop();
  }
}

/** Time that the kernel has run this thread (proc(5), schedstat). */
function threadMicros(): number {
  return Number(readFileSync('/proc/thread-self/schedstat', 'utf8').split(' ')[0]) / 1000;
}

export async function fullPathFigures(): Promise<string[]> {
  const boat = benchBoat(CIRCUITS);
  const topics = [...boat.points.values()].flatMap(({ address, words }) =>
    address.via === 'mqtt' && address.pointer === undefined && words === undefined
      ? [address.topic]
      : [],
  );
  const bare: Round[] = [];
  const whole: Round[] = [];
  for (let round = 0; round < WARM_UP + ROUNDS; round++) {
    const alone = await roundOf(await bareBroker(), topics);
    const all = await withFolder(async (folder) => roundOf(await wholePath(boat, folder), topics));
    if (round < WARM_UP) continue;
    bare.push(alone);
    whole.push(all);
  }
  const middle = (rounds: readonly Round[], of: 'rate' | 'micros'): number =>
    quantile(
      rounds.map((round) => round[of]),
      0.5,
    );
  const told = (rounds: readonly Round[]): string =>
    `${Math.round(middle(rounds, 'rate')).toLocaleString('en').padStart(9)} messages/s, ${middle(rounds, 'micros').toFixed(2)} µs of its thread for each`;
  const rates = middle(whole, 'rate') / middle(bare, 'rate');
  const shares = middle(bare, 'micros') / middle(whole, 'micros');
  return [
    `MQTT to store, ${CIRCUITS} circuits, ${MESSAGES} messages, middle of ${ROUNDS} rounds in turn`,
    `  broker alone             ${told(bare)}`,
    `  broker, rules and store  ${told(whole)}`,
    `  ${rates.toFixed(2)} of the rate, ${shares.toFixed(2)} by processor time (goal 0.8)`,
  ];
}
