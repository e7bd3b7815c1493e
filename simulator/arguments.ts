/** The simulator's command line, read and checked. */
import { parseArgs } from 'node:util';
import { SCENARIOS } from './scenarios/index.ts';

export interface Arguments {
  boatFile: string;
  broker: string;
  marineDataPort: number;
  /** Name of a scenario; null: the endless demo day from the present hour on. */
  scenario: string | null;
  seed: number;
  speed: number;
  isLooping: boolean;
}

export const FASTEST = 3600;

/** A problem is one line for a person. */
export function readArguments(args: readonly string[]): Arguments | { problem: string } {
  let values;
  try {
    ({ values } = parseArgs({ args: [...args], options: OPTIONS, strict: true }));
  } catch (error) {
    return { problem: error instanceof Error ? (error.message.split('\n')[0] ?? '') : '' };
  }
  const { boat, broker, scenario } = values;
  if (boat === undefined) return missing('--boat', 'a boat file');
  if (broker === undefined) return missing('--broker', 'mqtt://HOST:PORT');
  if (!isBrokerUrl(broker)) return wrong('--broker', 'mqtt://HOST:PORT', broker);
  if (scenario !== undefined && !SCENARIOS.some(({ name }) => name === scenario)) {
    const names = SCENARIOS.map(({ name }) => name).join(', ');
    return wrong('--scenario', `one of ${names}`, scenario);
  }
  const port = wholeNumber(values['marine-data-port'], 65_535);
  if (port === null) return wrong('--marine-data-port', '0 to 65535', values['marine-data-port']);
  const seed = wholeNumber(values.seed, 2 ** 32 - 1);
  if (seed === null) return wrong('--seed', 'a whole number from 0 to 4294967295', values.seed);
  const speed = Number(values.speed);
  if (!(speed >= 0.1 && speed <= FASTEST)) {
    return wrong('--speed', `a number from 0.1 to ${FASTEST}`, values.speed);
  }
  return {
    boatFile: boat,
    broker,
    marineDataPort: port,
    scenario: scenario ?? null,
    seed,
    speed,
    isLooping: values.loop,
  };
}

const OPTIONS = {
  boat: { type: 'string' },
  broker: { type: 'string' },
  'marine-data-port': { type: 'string', default: '0' },
  scenario: { type: 'string' },
  seed: { type: 'string', default: '1' },
  speed: { type: 'string', default: '1' },
  loop: { type: 'boolean', default: false },
} as const;

function isBrokerUrl(text: string): boolean {
  return URL.canParse(text) && ['mqtt:', 'mqtts:'].includes(new URL(text).protocol);
}

function wholeNumber(text: string, most: number): number | null {
  const number = /^\d+$/.test(text) ? Number(text) : NaN;
  return number <= most ? number : null;
}

const missing = (option: string, expected: string): { problem: string } => ({
  problem: `${option} is missing; give ${expected}`,
});

const wrong = (option: string, expected: string, found: string): { problem: string } => ({
  problem: `${option}: expected ${expected}, got ${JSON.stringify(found)}`,
});
