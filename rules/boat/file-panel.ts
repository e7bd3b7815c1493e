/** System, selectors, main switches and buses of the boat file. */
import * as z from 'zod';
import { breakerSchema } from './file-circuits.ts';
import { idOf, map, numberOf, oneNumberOf, oneOf, text } from './file-fields.ts';
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
