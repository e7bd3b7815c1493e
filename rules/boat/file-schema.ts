/**
 * The boat file as a schema: its keys, their types and ranges. What the keys say about each other
 * stands in the `check-*.ts` files. `boat-file.schema.json` is made from this for editors.
 */
import type * as z from 'zod';
import { circuitSchema } from './file-circuits.ts';
import { byId, map, numberOf, text, wholeNumber } from './file-fields.ts';
import { busSchema, selectorSchema, switchSchema, systemSchema } from './file-panel.ts';
import { pointSchema } from './file-points.ts';
import { batterySchema, sourceSchema } from './file-sources.ts';
import { LIMITS } from './limits.ts';
import type { LimitDescription, LimitName } from './limits.ts';
import { mapRecord } from './records.ts';

/** The units of `limits.ts` in full. */
const LIMIT_UNITS: Readonly<Record<string, string>> = {
  A: 'amperes',
  s: 'seconds',
  min: 'minutes',
  h: 'hours',
};

const limitShape = mapRecord<LimitName, LimitDescription, z.ZodOptional<z.ZodNumber>>(
  LIMITS,
  ({ min, max, unit, means, default: value }) =>
    numberOf(LIMIT_UNITS[unit] ?? unit, min, max, `${means} Default: ${value}.`).optional(),
);

const mqtt = map(
  {
    broker: text(
      'embedded, or the address of an outside broker such as mqtt://192.0.2.10:1883. Default: embedded.',
      256,
    ).optional(),
    port: wholeNumber(0, 65_535, 'Port of the embedded broker. Default: 1883.').optional(),
    username: text(
      'User name at an outside broker. Its password does not belong in this file.',
    ).optional(),
  },
  '{ broker: embedded, port: 1883 }',
  'Where sensors publish. Default: the embedded broker at port 1883.',
);

const marineData = map(
  { url: text('WebSocket address (ws: or wss:) of the open marine data stream.', 500) },
  '{ url: ws://127.0.0.1:3000/... }',
  'An open marine data server to read from. Default: none.',
);

export const boatFileSchema = map(
  {
    boat: map({ name: text('Name of the boat.') }, '{ name: Heron }', 'The boat itself.'),
    system: systemSchema,
    sources: byId(sourceSchema, 'sources', 'What feeds power into the boat, by id.').optional(),
    selectors: byId(selectorSchema, 'selectors', 'Source selectors, by id.').optional(),
    switches: byId(switchSchema, 'main switches', 'Main switches, by id.').optional(),
    buses: byId(busSchema, 'buses', 'Bus bars, by id.').optional(),
    batteries: byId(batterySchema, 'batteries', 'Battery banks, by id.').optional(),
    circuits: byId(circuitSchema, 'circuits', 'Circuits, by id.').optional(),
    points: byId(pointSchema, 'points', 'Measured quantities, by id.').optional(),
    limits: map(
      limitShape,
      '{ overloadSeconds: 30 }',
      'Limits and delays that differ from their defaults.',
    ).optional(),
    intake: map(
      { mqtt: mqtt.optional(), marineData: marineData.optional() },
      '{ mqtt: { broker: embedded, port: 1883 } }',
      'Where readings come in.',
    ).optional(),
  },
  '{ boat: { name: Heron }, system: ... }',
  "One boat's electrical panel, for panelward.",
);

/** A boat file that the schema accepts; its references may still point nowhere. */
export type BoatFile = z.output<typeof boatFileSchema>;
export type CircuitEntry = NonNullable<BoatFile['circuits']>[string];
export type PointEntry = NonNullable<BoatFile['points']>[string];
export type SourceEntry = NonNullable<BoatFile['sources']>[string];
