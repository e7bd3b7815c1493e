/**
 * The simulated boat as a process of its own: it reaches the daemon only as sensors do, over the
 * broker and the marine data port. It ends with us, for it watches its standard input.
 */
import { execFile, spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { promisify } from 'node:util';
import { z } from 'zod';
import { packageFolder } from './version.ts';

export interface SimulatorOptions {
  boatFile: string;
  broker: string;
  marineDataPort: number;
  scenario: string | null;
  seed: number;
  speed: number;
  log: (line: string) => void;
}

export interface SimulatorProcess {
  stop(): Promise<void>;
}

function program(name: 'main' | 'describe'): string {
  const built = join(packageFolder(), '.build', 'simulator', `${name}.js`);
  if (!existsSync(built)) throw new Error('The simulator is not built; run: npm run build');
  return built;
}

const descriptionSchema = z.object({
  boatFile: z.string(),
  /** Minutes after midnight; null: the present hour. */
  startsAtMinutes: z.number().nullable(),
  story: z.string(),
});
export type ScenarioDescription = z.infer<typeof descriptionSchema>;

/** Asks the simulator which boat a scenario is about; without a name, the endless day. */
export async function describeScenario(
  scenario: string | null,
): Promise<ScenarioDescription | { problem: string }> {
  const args = scenario === null ? [] : ['--scenario', scenario];
  try {
    const { stdout } = await promisify(execFile)(process.execPath, [program('describe'), ...args]);
    return descriptionSchema.parse(JSON.parse(stdout));
  } catch (error) {
    const stderr = errorTextSchema.safeParse(error);
    if (stderr.success && stderr.data.stderr.trim() !== '') {
      return { problem: stderr.data.stderr.trim() };
    }
    throw error;
  }
}

const errorTextSchema = z.object({ stderr: z.string() });

const readySchema = z.object({ ready: z.literal(true) });

/** Starts it and waits until it publishes; the problem is the simulator's own sentence. */
export async function startSimulator(
  options: SimulatorOptions,
): Promise<SimulatorProcess | { problem: string }> {
  const args = ['--boat', options.boatFile, '--broker', options.broker];
  args.push('--marine-data-port', String(options.marineDataPort));
  args.push('--seed', String(options.seed), '--speed', String(options.speed));
  if (options.scenario !== null) args.push('--scenario', options.scenario);
  const child = spawn(process.execPath, [program('main'), ...args], {
    stdio: ['pipe', 'pipe', 'pipe'],
    // Ctrl-C in a terminal is for us; the simulator ends when its standard input does.
    detached: true,
  });
  const ended = new Promise<number | null>((resolve) => child.once('exit', resolve));
  let lastError = '';
  createInterface({ input: child.stderr }).on('line', (line) => {
    lastError = line;
    options.log(`simulator: ${line}`);
  });
  const ready = new Promise<boolean>((resolve) => {
    createInterface({ input: child.stdout }).on('line', (line) => {
      if (readySchema.safeParse(parseLine(line)).success) resolve(true);
    });
    void ended.then(() => resolve(false));
  });
  if (!(await ready)) return { problem: lastError || 'The simulator ended before it published.' };
  return {
    async stop() {
      child.stdin.end();
      child.kill('SIGTERM');
      await ended;
    },
  };
}

function parseLine(line: string): unknown {
  try {
    return JSON.parse(line);
  } catch {
    return null;
  }
}
