/** Circuits of the boat file, with their breakers. */
import * as z from 'zod';
import { conductorSchema } from './file-conductor.ts';
import {
  idOf,
  listOf,
  map,
  numberOf,
  oneOf,
  text,
  trueOrFalse,
  wholeNumber,
} from './file-fields.ts';
import { labelField, legsField } from './file-sources.ts';

export const breakerSchema = map(
  {
    amps: numberOf('amperes', 0.5, 2000, 'Rating as marked on it.'),
    kind: oneOf(
      ['UL 489', 'IEC B', 'IEC C', 'IEC D', 'fuse'],
      'UL 489: North American panel breaker; IEC B, C, D: types of IEC 60898-1. Default: UL 489 at 60 Hz and without AC, IEC C at 50 Hz.',
    ).optional(),
  },
  '{ amps: 20 }',
  'Breaker or fuse.',
);

const applianceSchema = map(
  {
    label: text('Its name, as people aboard call it.', 40),
    amps: numberOf(
      'amperes',
      0.01,
      2000,
      'What it draws, from its plate: watts divided by volts where that says watts.',
    ),
    minutes: numberOf(
      'minutes',
      0.1,
      1440,
      'How long it is on at a time. Default: it may be on for hours.',
    ).optional(),
  },
  '{ label: Kettle, amps: 10 }',
  'Something that is switched on at this circuit.',
);

const circuitIds = (help: string) =>
  listOf(z.string({ error: 'the id of a circuit' }), '[raw-water-pump]', help);

export const circuitSchema = map(
  {
    label: labelField,
    position: z
      .union([z.string().min(1).max(20), z.int()], {
        error: 'text of 1 to 20 characters, such as A-4',
      })
      .describe('Place on the panel as engraved there, such as A-4.')
      .optional(),
    bus: idOf('a bus', 'The bus that it branches from.'),
    leg: z
      .string({ error: 'the name of a leg' })
      .describe('Its leg. Default: the only leg of its bus; needed where the bus has two.')
      .optional(),
    legs: legsField('Both legs, for a load across them: [L1, L2]. In place of `leg`.').optional(),
    breaker: breakerSchema,
    conductor: conductorSchema('Its wire.').optional(),
    load: oneOf(
      ['resistive', 'motor', 'charger', 'electronics', 'mixed'],
      'What hangs on it: heaters and cookers are resistive, outlets are mixed.',
    ),
    duty: oneOf(
      ['bilge pump', 'fresh water pump', 'refrigerator'],
      'What its load is for, where panelward has to know: pumps are watched for leaks; a freezer is a refrigerator. Default: nothing special.',
    ).optional(),
    ampsRunning: numberOf(
      'amperes',
      0.01,
      2000,
      'Expected current while running. Default: not known.',
    ).optional(),
    drawingAmps: numberOf(
      'amperes',
      0.001,
      200,
      'Above this the circuit counts as running. Default: the limit `drawingAmps`.',
    ).optional(),
    shedding: wholeNumber(
      1,
      1000,
      'Order in which to drop loads, 1 first. Default: never suggested.',
    ).optional(),
    requires: circuitIds(
      'Circuits that must all be running before this one. Default: none.',
    ).optional(),
    excludes: circuitIds(
      'Circuits none of which may run together with this one. Default: none.',
    ).optional(),
    standingOrder: oneOf(
      ['should be on', 'leave off', 'out of service'],
      'How the circuit is meant to stand. Default: no order.',
    ).optional(),
    standingOrderWhenFedBy: idOf(
      'a source',
      'The order `should be on` holds only while this source feeds. Default: any source.',
    ).optional(),
    preferInstead: idOf('a circuit', 'Circuit to be used instead where it can.').optional(),
    charges: idOf('a battery', "Battery that this circuit's charger charges.").optional(),
    appliances: listOf(
      applianceSchema,
      '[{ label: Kettle, amps: 10 }]',
      'What people switch on at this circuit, for the question whether it can go on now. Default: only the circuit itself.',
    ).optional(),
    startsByItself: trueOrFalse(
      'A thermostat, float or timer may start it. Default: true for motor, resistive and charger.',
    ).optional(),
    note: text('Anything worth reading when something is wrong here.', 500).optional(),
  },
  '{ bus: house-bus, breaker: { amps: 20 }, load: mixed }',
  'A branch circuit: a row of the panel.',
);
