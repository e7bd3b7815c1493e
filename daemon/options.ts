/** Options of the command line, and their values as they were typed. */

export const OPTIONS = {
  boat: { type: 'string' },
  data: { type: 'string' },
  host: { type: 'string' },
  port: { type: 'string' },
  mqtt: { type: 'string' },
  'mqtt-port': { type: 'string' },
  'mqtt-host': { type: 'string' },
  'marine-data': { type: 'string' },
  settings: { type: 'string' },
  scenario: { type: 'string' },
  speed: { type: 'string' },
  seed: { type: 'string' },
  from: { type: 'string' },
  to: { type: 'string' },
  points: { type: 'string' },
  format: { type: 'string' },
  json: { type: 'boolean' },
  test: { type: 'boolean' },
  way: { type: 'string' },
  role: { type: 'string' },
  check: { type: 'boolean' },
  name: { type: 'string', multiple: true },
  anew: { type: 'boolean' },
  user: { type: 'string' },
  secrets: { type: 'string' },
  help: { type: 'boolean', short: 'h' },
  version: { type: 'boolean' },
} as const;

export type OptionName = keyof typeof OPTIONS;
export type Values = Partial<Record<OptionName, string | boolean | string[]>>;

/** About what was typed: one sentence for the person who typed it. */
export class Problem extends Error {}

/** Null where it was not given. Throws Problem where it has no value. */
export const textOf = (values: Values, name: OptionName): string | null => {
  const value = values[name];
  if (value === undefined) return null;
  if (typeof value !== 'string' || value === '') throw new Problem(`--${name} needs a value`);
  return value;
};

/** Null where it was not given. Throws Problem where it is none of the numbers allowed. */
export function numberOf(
  values: Values,
  name: OptionName,
  { min, max, whole = true }: { min: number; max: number; whole?: boolean },
): number | null {
  const text = textOf(values, name);
  if (text === null) return null;
  const value = Number(text);
  if (
    !Number.isFinite(value) ||
    value < min ||
    value > max ||
    (whole && !Number.isInteger(value))
  ) {
    const kind = whole ? 'a whole number' : 'a number';
    throw new Problem(`--${name} must be ${kind} from ${min} to ${max}, got "${text}"`);
  }
  return value;
}
