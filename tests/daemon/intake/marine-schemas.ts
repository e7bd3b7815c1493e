/**
 * Holds frames to the published JSON schemas of open marine data (SignalK specification 1.8.2), so
 * that the scripted server in these tests says nothing that a real one would not.
 */
import { createRequire } from 'node:module';
import schema, { type Validation } from '@signalk/signalk-schema';

const require = createRequire(import.meta.url);
const HELLO: unknown = require('@signalk/signalk-schema/schemas/hello.json');
const SUBSCRIBE: unknown = require('@signalk/signalk-schema/schemas/messages/subscribe.json');

function assertValid({ valid, errors, missing }: Validation, frame: unknown): void {
  if (missing.length > 0) throw new Error(`schemas are missing: ${missing.join(', ')}`);
  if (valid) return;
  const reasons = errors.map(({ message, dataPath }) => `${dataPath}: ${message}`).join('; ');
  throw new Error(`not valid: ${reasons} in ${JSON.stringify(frame)}`);
}

// Loading the definitions first: without them the validator would pass what it cannot resolve.
const tv4 = schema.getTv4();

export function assertDelta(delta: unknown): void {
  assertValid(schema.validateDelta(structuredClone(delta)), delta);
}

export function assertHello(hello: unknown): void {
  assertValid(tv4.validateMultiple(hello, HELLO, true, true), hello);
}

export function assertSubscribe(message: unknown): void {
  assertValid(tv4.validateMultiple(message, SUBSCRIBE, true, true), message);
}
