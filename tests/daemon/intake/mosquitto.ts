/** Mosquitto, a general-purpose MQTT broker with its clients, as a witness from outside the project. */
import { spawn, execFile, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { openTcp } from './mqtt-bytes.ts';
import { stopAfterwards } from './gathering.ts';

const run = promisify(execFile);
/** Debian puts the broker where only root looks. */
const env = { ...process.env, PATH: `${process.env['PATH']}:/usr/sbin` };

export interface Mosquitto {
  port: number;
  /** Starts it again on the same port with the same configuration. */
  start(): Promise<void>;
  /** Ends the process; everything that was not made persistent is gone. */
  end(): Promise<void>;
}

/** A free port; the broker that gets it takes it a moment later. */
async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const bound = server.address();
  if (bound === null || typeof bound === 'string') throw new Error('no port');
  server.close();
  await once(server, 'close');
  return bound.port;
}

async function isListening(port: number): Promise<boolean> {
  try {
    (await openTcp(`127.0.0.1:${port}`)).destroy();
    return true;
  } catch {
    await new Promise((resolve) => setTimeout(resolve, 10));
    return false;
  }
}

/** Runs until the test ends. `extra` are more lines of its configuration; `folder` holds `files`. */
export async function startMosquitto(
  extra: (folder: string) => string[] = () => [],
  files: Readonly<Record<string, string>> = {},
): Promise<Mosquitto> {
  const folder = await mkdtemp(join(tmpdir(), 'mosquitto-'));
  const port = await freePort();
  const isOpen = extra(folder).every((line) => !line.startsWith('allow_anonymous'));
  const lines = [
    `listener ${port} 127.0.0.1`,
    // Started by root it would become a user who may not read the folder.
    'user root',
    ...(isOpen ? ['allow_anonymous true'] : []),
    'persistence true',
    `persistence_location ${folder}/`,
    ...extra(folder),
  ];
  await writeFile(join(folder, 'mosquitto.conf'), `${lines.join('\n')}\n`);
  for (const [name, text] of Object.entries(files)) {
    await writeFile(join(folder, name), text, { mode: 0o600 });
  }
  let child: ChildProcess | null = null;

  const end = async (): Promise<void> => {
    const ending = child;
    child = null;
    if (!ending || ending.exitCode !== null) return;
    const ended = once(ending, 'exit');
    ending.kill('SIGTERM');
    await ended;
  };
  const start = async (): Promise<void> => {
    let said = '';
    const fresh = spawn('mosquitto', ['-c', join(folder, 'mosquitto.conf')], { env });
    fresh.stderr.on('data', (text: Buffer) => (said += text.toString()));
    child = fresh;
    while (!(await isListening(port))) {
      if (fresh.exitCode !== null) throw new Error(`mosquitto ended: ${said}`);
    }
  };
  stopAfterwards(async () => {
    await end();
    await rm(folder, { recursive: true, force: true });
  });
  await start();
  return { port, start, end };
}

/** Publishes one message with `mosquitto_pub`. */
export async function mosquittoPub(port: number, ...more: string[]): Promise<void> {
  await run('mosquitto_pub', ['-h', '127.0.0.1', '-p', String(port), ...more]);
}
