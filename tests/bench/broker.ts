/** What a rude client of the embedded broker costs the others: waiting times and memory. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { startClock } from '../../daemon/clock.ts';
import { startEmbeddedBroker } from '../../daemon/intake/embedded-broker.ts';
import { createCounters } from '../../daemon/intake/intake-counters.ts';

const SECONDS = Number(process.env['SECONDS'] ?? '20');
const CLIENT = new URL('broker-client.js', import.meta.url).pathname;

/** Starts clients; resolves with what they printed when they have ended. */
async function client(kind: string, address: string, seconds: number): Promise<string> {
  const child = spawn(process.execPath, [CLIENT, kind, address, String(seconds)]);
  let text = '';
  child.stdout.on('data', (bytes: Buffer) => (text += bytes.toString()));
  child.stderr.on('data', (bytes: Buffer) => process.stderr.write(bytes));
  await once(child, 'close');
  return text.trim();
}

export async function brokerFigures(): Promise<string[]> {
  const clock = startClock();
  const log = { info: () => {}, warn: () => {} };
  const counters = createCounters(clock, log);
  /** From sending to the watch, of the sensors that behave. */
  let waits: number[] = [];
  let heard = 0;
  let lastMs = Infinity;
  let gapMs = 0;
  const broker = await startEmbeddedBroker({
    host: '127.0.0.1',
    port: 0,
    clock,
    counters,
    log,
    onMessage({ topic, payload }) {
      heard += 1;
      if (!topic.startsWith('panel/quiet/')) return;
      const nowMs = performance.now();
      gapMs = Math.max(gapMs, nowMs - lastMs);
      lastMs = nowMs;
      waits.push(performance.timeOrigin + nowMs - Number(Buffer.from(payload).toString()));
    },
  });
  if ('problem' in broker) throw new Error(broker.problem);
  const { address } = broker;

  const measure = async (rude: readonly string[]): Promise<string> => {
    [waits, heard, gapMs, lastMs] = [[], 0, 0, Infinity];
    const before = counters.refused().reduce((sum, { count }) => sum + count, 0);
    const rudeOnes = rude.map((kind) => client(kind, address, SECONDS));
    await client('quiet', address, SECONDS);
    const printed = (await Promise.all(rudeOnes)).filter(Boolean);
    waits.sort((a, b) => a - b);
    const at = (share: number): string =>
      (waits[Math.min(waits.length - 1, Math.floor(waits.length * share))] ?? 0).toFixed(0);
    const refused = counters.refused().reduce((sum, { count }) => sum + count, 0) - before;
    const loud = printed.length > 0 ? `${printed.join(', ')} sent by the loud one, ` : '';
    return `${loud}${heard} heard, ${refused} refused; the others waited ${at(0.5)} ms (median), ${at(0.99)} ms (p99), ${at(1)} ms at most; longest gap ${gapMs.toFixed(0)} ms`;
  };

  const lines = [
    `broker, alone: ${await measure([])}`,
    `broker, one sensor at 10,000 messages/s: ${await measure(['flood'])}`,
    `broker, the same and a frozen subscriber: ${await measure(['flood', 'frozen'])}`,
  ];
  globalThis.gc?.();
  const beforeBytes = process.memoryUsage().rss;
  let mostBytes = beforeBytes;
  const stopLooking = clock.every(5, () => {
    mostBytes = Math.max(mostBytes, process.memoryUsage().rss);
  });
  await client('huge', address, 1);
  stopLooking();
  const mebi = ((mostBytes - beforeBytes) / 1024 / 1024).toFixed(2);
  lines.push(`broker, a packet of 50 MiB: ${mebi} MiB more in memory at most`);
  await broker.stop();
  return lines;
}
