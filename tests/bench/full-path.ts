/**
 * Messages a second from an MQTT client through intake, rules and store, beside the embedded broker
 * alone, with the same client, both several times in turn. The client floods; sensors of a boat send
 * a hundred messages a second at most.
 */
import { once } from 'node:events';
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
const MESSAGES = 60_000;
const ROUNDS = 5;

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

/** Messages a second, from the first that was sent until the last has come. */
async function rateOf(receiver: Receiver, topics: readonly string[]): Promise<number> {
  const client = new Worker(new URL('full-path-client.js', import.meta.url), {
    workerData: { port: receiver.port, topics, messages: MESSAGES },
  });
  try {
    await once(client, 'message');
    const start = performance.now();
    client.postMessage('go');
    while (receiver.received() < MESSAGES) await new Promise((resolve) => setTimeout(resolve, 5));
    return MESSAGES / ((performance.now() - start) / 1000);
  } finally {
    await client.terminate();
    await receiver.stop();
  }
}

export async function fullPathFigures(): Promise<string[]> {
  const boat = benchBoat(CIRCUITS);
  const topics = [...boat.points.values()].flatMap(({ address, words }) =>
    address.via === 'mqtt' && address.pointer === undefined && words === undefined
      ? [address.topic]
      : [],
  );
  const bare: number[] = [];
  const whole: number[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    bare.push(await rateOf(await bareBroker(), topics));
    whole.push(await withFolder(async (folder) => rateOf(await wholePath(boat, folder), topics)));
  }
  const [bareRate, wholeRate] = [quantile(bare, 0.5), quantile(whole, 0.5)];
  const rate = (each: number): string => Math.round(each).toLocaleString('en');
  return [
    `MQTT to store, ${CIRCUITS} circuits, ${MESSAGES} messages, middle of ${ROUNDS} rounds in turn`,
    `  broker alone                ${rate(bareRate).padStart(9)} messages/s`,
    `  broker, rules and store     ${rate(wholeRate).padStart(9)} messages/s, ${(wholeRate / bareRate).toFixed(2)} of it (goal 0.8)`,
  ];
}
