/** System, selectors, main switches, buses and circuits of the boat file. */
import * as z from 'zod';
import { conductorSchema } from './file-conductor.ts';
import {
  idOf,
  listOf,
  map,
  numberOf,
  oneNumberOf,
  oneOf,
  text,
  wholeNumber,
} from './file-fields.ts';
import { labelField, legsField } from './file-sources.ts';

const UPSTREAM = 'a source, selector, main switch or battery';

/** What a selector position feeds from when it feeds from nothing. No part may have this id. */
export const NOTHING = 'nothing';

const acSystem = map(
  {
    kind: oneOf(
      ['single phase', 'split phase'],
      'single phase: one leg and neutral. split phase: two legs and neutral, as in 120/240 V.',
    ),
    volts: numberOf(
      'volts',
      90,
      300,
      'Nominal volts of one leg to neutral: 120 on a 120/240 V boat, 230 in Europe.',
    ),
    hertz: oneNumberOf([50, 60], 'Nominal frequency in hertz.'),
    legs: legsField('Names of the legs. Default: [L], or [L1, L2] for split phase.').optional(),
  },
  '{ kind: single phase, volts: 230, hertz: 50 }',
  'The AC system. Leave it out on a boat without AC.',
);

const dcSystem = map(
  { volts: oneNumberOf([12, 24, 32, 36, 48], 'Nominal volts.') },
  '{ volts: 12 }',
  'The DC system. Leave it out if nothing of it is described.',
);

export const systemSchema = map(
  { ac: acSystem.optional(), dc: dcSystem.optional() },
  '{ ac: ..., dc: ... }',
  'Nominal voltage, frequency and legs.',
);

const positionName = text('Position name as engraved on the panel.', 40);

export const selectorSchema = map(
  {
    label: labelField,
    positions: z
      .record(positionName, idOf(`${UPSTREAM}, or ${NOTHING}`, 'What feeds in this position.'), {
        error: "a map of position names such as { SHORE: shore, 'OFF': nothing }",
      })
      .describe(
        `Position name as engraved, in panel order, to what feeds there; \`${NOTHING}\` for none. At least two.`,
      ),
  },
  "{ positions: { SHORE: shore, 'OFF': nothing } }",
  'A rotary source selector.',
);

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

export const switchSchema = map(
  {
    label: labelField,
    from: idOf(UPSTREAM, 'What feeds it.'),
    breaker: breakerSchema.optional().describe('Its breaker, where it has one.'),
  },
  '{ from: shore-selector }',
  'A main switch, with or without a breaker.',
);

export const busSchema = map(
  {
    label: labelField,
    from: idOf(UPSTREAM, 'What feeds it.'),
    legs: legsField(
      'Legs it has. Default: all that its supply has; a DC bus has the one leg DC.',
    ).optional(),
    amps: numberOf(
      'amperes',
      0.5,
      5000,
      'Rated current per leg of the bus bar or its feeder. Default: none, and no load ratio.',
    ).optional(),
  },
  '{ from: house-main, amps: 50 }',
  'A bus bar that circuits branch from.',
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
    note: text('Anything worth reading when something is wrong here.', 500).optional(),
  },
  '{ bus: house-bus, breaker: { amps: 20 }, load: mixed }',
  'A branch circuit: a row of the panel.',
);
