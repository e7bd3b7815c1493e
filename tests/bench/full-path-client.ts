/** The client of the full-path benchmark, in a thread of its own: publishes plain numbers in a row. */
import { once } from 'node:events';
import { parentPort, workerData } from 'node:worker_threads';
import { connectAsync } from 'mqtt';

interface Given {
  port: number;
  topics: string[];
  messages: number;
}

/** Messages between two breaths, so that the socket is written out. */
const BATCH = 500;

const { port, topics, messages }: Given = workerData;
const client = await connectAsync(`mqtt://127.0.0.1:${port}`, { clean: true });
parentPort?.postMessage('connected');
if (parentPort) await once(parentPort, 'message');
for (let sent = 0; sent < messages; sent += BATCH) {
  const batch = Math.min(BATCH, messages - sent);
  const last = Array.from({ length: batch }, (_, at) => {
    const number = sent + at;
    const topic = topics[number % topics.length] ?? '';
    return client.publishAsync(topic, (100 + (number % 997) / 100).toFixed(2));
  }).at(-1);
  await last;
}
