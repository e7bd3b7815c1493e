/** The simulator as a process of its own, against a real broker. */
import { execFile, spawn } from 'node:child_process';
import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import type { Server } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { promisify } from 'node:util';
import { Aedes } from 'aedes';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { WebSocket } from 'ws';
import { assertDelta } from '../daemon/intake/marine-schemas.ts';
import { boatFile } from './demo-boats.ts';
import { valueAt } from './payload.ts';

const ROOT = new URL('../..', import.meta.url).pathname;
const run = promisify(execFile);

let folder = '';
let main = '';

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'simulator-'));
  symlinkSync(join(ROOT, 'node_modules'), join(folder, 'node_modules'));
  writeFileSync(join(folder, 'package.json'), '{"type":"module"}');
  const project = {
    extends: join(ROOT, 'tsconfig.json'),
    compilerOptions: {
      noEmit: false,
      rootDir: ROOT,
      outDir: folder,
      typeRoots: [join(ROOT, 'node_modules/@types')],
    },
    include: [join(ROOT, 'simulator')],
  };
  writeFileSync(join(folder, 'tsconfig.json'), JSON.stringify(project));
  await run(join(ROOT, 'node_modules/.bin/tsc'), ['-p', join(folder, 'tsconfig.json')]);
  main = join(folder, 'simulator/main.js');
});

afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

interface Heard {
  topic: string;
  payload: string;
  qos: number;
}

/** A real broker that keeps what it hears. */
class Broker {
  readonly heard: Heard[] = [];
  readonly #aedes: Aedes;
  readonly #server: Server;

  private constructor(aedes: Aedes) {
    this.#aedes = aedes;
    this.#server = createServer(aedes.handle);
    aedes.on('publish', ({ topic, payload, qos }) => {
      // What starts so is the broker's own.
      if (!topic.startsWith('$')) this.heard.push({ topic, payload: payload.toString(), qos });
    });
  }

  static async start(): Promise<Broker> {
    const broker = new Broker(await Aedes.createBroker());
    broker.#server.listen(0, '127.0.0.1');
    await once(broker.#server, 'listening');
    return broker;
  }

  get url(): string {
    const address = this.#server.address();
    return `mqtt://127.0.0.1:${typeof address === 'object' ? address?.port : 0}`;
  }

  /** Resolves at the first message, heard already or yet to come, of which `isIt` says so. */
  async until(isIt: (heard: Heard) => boolean): Promise<void> {
    for (let at = 0; ; at += 1) {
      while (at >= this.heard.length) {
        await new Promise((resolve) => {
          this.#aedes.once('publish', resolve);
        });
      }
      const message = this.heard[at];
      if (message !== undefined && isIt(message)) return;
    }
  }

  async stop(): Promise<void> {
    await new Promise<void>((resolve) => {
      this.#aedes.close(() => resolve());
    });
    this.#server.close();
  }
}

let broker: Broker;
const children: ChildProcess[] = [];

beforeEach(async () => {
  broker = await Broker.start();
});

afterEach(async () => {
  for (const child of children.splice(0)) {
    if (child.exitCode === null && child.signalCode === null) {
      child.kill('SIGKILL');
      await once(child, 'exit');
    }
  }
  await broker.stop();
});

function launch(...more: string[]): ChildProcess {
  const args = [main, '--boat', boatFile('sable-plover'), '--broker', broker.url, ...more];
  const child = spawn(process.execPath, args, { stdio: ['pipe', 'pipe', 'inherit'] });
  children.push(child);
  return child;
}

/** Port of the open marine data server, from the one line it prints. */
async function ready(child: ChildProcess): Promise<number> {
  if (child.stdout === null) throw new Error('no output');
  const [line] = await once(createInterface(child.stdout), 'line');
  expect(valueAt(String(line), '/ready')).toBe(true);
  return Number(valueAt(String(line), '/marineDataPort'));
}

test('publishes every topic at quality of service 1, and serves open marine data', async () => {
  const port = await ready(launch('--scenario', 'quiet-day', '--speed', '20'));
  const topics = new Set<string>();
  await broker.until(({ topic }) => topics.add(topic).size >= 7);
  expect([...topics].toSorted()).toEqual([
    'panel/bilge/milliamps',
    'panel/bow',
    'panel/climate',
    'panel/house',
    'panel/large',
    'panel/small',
    'panel/stern',
  ]);
  expect(new Set(broker.heard.map(({ qos }) => qos))).toEqual(new Set([1]));
  const socket = new WebSocket(`ws://127.0.0.1:${port}/signalk/v1/stream`);
  const deltas: string[] = [];
  socket.on('message', (frame: Buffer) => deltas.push(frame.toString()));
  while (deltas.length < 6) await once(socket, 'message');
  socket.terminate();
  for (const delta of deltas.slice(1)) assertDelta(JSON.parse(delta));
});

test('at speed 20 a sensor of one second speaks about 20 times a second', async () => {
  await ready(launch('--scenario', 'quiet-day', '--speed', '20'));
  let count = 0;
  const uptime = (payload: string): number => Number(valueAt(payload, '/uptime'));
  await broker.until(({ topic }) => {
    if (topic === 'panel/bow') count += 1;
    return count >= 60;
  });
  const said = broker.heard.filter(({ topic }) => topic === 'panel/bow');
  // Boat seconds by the sensor's own clock: one message each, whatever this machine's speed.
  const boatSeconds = uptime(said.at(-1)?.payload ?? '') - uptime(said[0]?.payload ?? '');
  expect(said.length / boatSeconds).toBeGreaterThan(0.9);
  expect(said.length / boatSeconds).toBeLessThan(1.1);
});

const isWill = ({ payload }: Heard): boolean => payload.includes('null');

test('killed, it leaves a last will for every topic: no values', async () => {
  const child = launch('--scenario', 'quiet-day');
  await ready(child);
  child.kill('SIGKILL');
  let wills = 0;
  await broker.until((message) => {
    if (isWill(message)) wills += 1;
    return wills >= 7;
  });
  const bow = broker.heard.find((message) => isWill(message) && message.topic === 'panel/bow');
  expect(valueAt(bow?.payload ?? '', '/l2/a')).toBeNull();
});

describe('it ends', () => {
  test('cleanly on SIGTERM, without a last will', async () => {
    const child = launch('--scenario', 'quiet-day');
    await ready(child);
    const before = broker.heard.length;
    child.kill('SIGTERM');
    const [code] = await once(child, 'exit');
    expect(code).toBe(0);
    expect(broker.heard.slice(before).filter(({ payload }) => payload.includes('null'))).toEqual(
      [],
    );
  });

  test('when the pipe from its parent closes', async () => {
    const child = launch('--scenario', 'quiet-day');
    await ready(child);
    child.stdin?.end();
    const [code] = await once(child, 'exit');
    expect(code).toBe(0);
  });

  test('even while no broker is there', async () => {
    const args = [main, '--boat', boatFile('sable-plover'), '--broker', 'mqtt://127.0.0.1:1'];
    const child = spawn(process.execPath, args, { stdio: ['pipe', 'ignore', 'pipe'] });
    children.push(child);
    const [line] = await once(createInterface(child.stderr), 'line');
    expect(String(line)).toMatch(/simulator: broker: .*ECONNREFUSED/);
    child.stdin.end();
    const [code] = await once(child, 'exit');
    expect(code).toBe(0);
  });
});

test('a loop begins anew', async () => {
  // The shortest scenario, 18 minutes, is over after 0.3 s.
  await ready(launch('--scenario', 'overload-at-breakfast', '--speed', '3600', '--loop'));
  const uptimes: number[] = [];
  await broker.until(({ topic, payload }) => {
    if (topic !== 'panel/small') return false;
    uptimes.push(Number(valueAt(payload, '/uptime')));
    return (uptimes.at(-1) ?? 0) + 900 < (uptimes.at(-2) ?? 0);
  });
  expect(uptimes.length).toBeGreaterThan(500);
});

describe('what cannot be', () => {
  const refusedWith = async (...args: string[]): Promise<{ code: unknown; told: string }> => {
    const child = spawn(process.execPath, [main, ...args], { stdio: ['ignore', 'ignore', 'pipe'] });
    children.push(child);
    let told = '';
    child.stderr.on('data', (chunk: Buffer) => (told += chunk.toString()));
    const [code] = await once(child, 'close');
    return { code, told };
  };
  const sable = ['--boat', boatFile('sable-plover'), '--broker', 'mqtt://127.0.0.1:1'];

  test.each([
    [['--boat', 'x'], /--broker is missing/],
    [['--boat', '/nowhere.yaml', '--broker', 'mqtt://127.0.0.1:1'], /cannot read the boat file/],
    [
      [...sable, '--scenario', 'shore-lost-canal'],
      /is not for Sable Plover; there are demo, quiet-day/,
    ],
    [
      ['--boat', new URL(import.meta.url).pathname, '--broker', 'mqtt://h'],
      /main\.test\.ts:\d+:\d+: /,
    ],
  ])('%j: one clear line and exit code 2', async (args, problem) => {
    const { code, told } = await refusedWith(...args);
    expect(code).toBe(2);
    expect(told).toMatch(problem);
    expect(told.trim().split('\n')).toHaveLength(1);
  });
});
