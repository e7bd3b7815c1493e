/** Sources and batteries of the boat file. */
import * as z from 'zod';
import { conductorSchema } from './file-conductor.ts';
import { idOf, listOf, map, numberOf, oneNumberOf, oneOf, text } from './file-fields.ts';

export const SOURCE_KINDS = [
  'shore inlet',
  'generator',
  'inverter',
  'alternator',
  'solar',
] as const;

const KIND_HELP = `What it is: ${SOURCE_KINDS.join(', ')}.`;

export const labelField = text("What the panel's own label says. Default: the id.").optional();

export const legsField = (help: string) =>
  listOf(z.string({ error: 'the name of a leg' }), '[L1, L2]', help);

const sourceLegs = legsField('Legs it supplies. Default: all legs of the AC system.').optional();
const ratedAmps = (help: string) => numberOf('amperes', 0.5, 2000, help);
const kilowatts = numberOf('kilowatts', 0.05, 1000, 'Rated real power.');
const battery = idOf('a battery', 'Battery that it draws from or charges.');

const shoreInlet = map(
  {
    kind: z.literal('shore inlet').describe(KIND_HELP),
    label: labelField,
    amps: ratedAmps('Rated current per leg of inlet and cord, the smaller.'),
    legs: sourceLegs,
    cord: conductorSchema('Shore cord.').optional(),
  },
  '{ kind: shore inlet, amps: 30 }',
  'A shore power inlet with its cord.',
);

const generator = map(
  {
    kind: z.literal('generator').describe(KIND_HELP),
    label: labelField,
    kilowatts,
    kilovoltAmps: numberOf(
      'kilovolt-amperes',
      0.05,
      1000,
      'Rated apparent power. Default: the same number as `kilowatts`.',
    ).optional(),
    amps: ratedAmps(
      'Rated current per leg. Default: `kilovoltAmps` divided by the volts of all its legs together.',
    ).optional(),
    legs: sourceLegs,
    fuel: oneOf(['diesel', 'petrol', 'gas'], 'What it burns.'),
    startBattery: idOf(
      'a battery',
      'Battery that cranks its engine: tries to start it are counted.',
    ).optional(),
  },
  '{ kind: generator, kilowatts: 6, fuel: diesel }',
  'An AC generator.',
);

const inverter = map(
  {
    kind: z.literal('inverter').describe(KIND_HELP),
    label: labelField,
    kilowatts,
    amps: ratedAmps(
      'Rated current per leg. Default: `kilowatts` divided by the volts of all its legs together.',
    ).optional(),
    legs: sourceLegs,
    battery,
  },
  '{ kind: inverter, kilowatts: 3, battery: house-bank }',
  'An inverter that makes AC from a battery.',
);

const alternator = map(
  {
    kind: z.literal('alternator').describe(KIND_HELP),
    label: labelField,
    amps: ratedAmps('Rated output current.'),
    battery,
  },
  '{ kind: alternator, amps: 100, battery: house-bank }',
  'A DC alternator on an engine.',
);

const solar = map(
  {
    kind: z.literal('solar').describe(KIND_HELP),
    label: labelField,
    watts: numberOf('watts', 1, 100_000, 'Panel watts at standard test conditions.'),
    amps: ratedAmps('Largest output current of the charge controller.'),
    battery,
  },
  '{ kind: solar, watts: 400, amps: 30, battery: house-bank }',
  'Solar panels with their charge controller.',
);

export const sourceSchema = z
  .discriminatedUnion('kind', [shoreInlet, generator, inverter, alternator, solar], {
    error: 'a map such as { kind: shore inlet, amps: 30 }',
  })
  .describe('Something that feeds power into the boat.');

export const batterySchema = map(
  {
    label: labelField,
    chemistry: oneOf(['flooded', 'agm', 'gel', 'lifepo4'], 'Kind of battery.'),
    volts: oneNumberOf([12, 24, 32, 36, 48], 'Nominal volts of the whole bank.'),
    ampHours: numberOf('ampere-hours', 1, 100_000, 'Rated capacity at the 20-hour rate.'),
  },
  '{ chemistry: agm, volts: 12, ampHours: 400 }',
  'A battery bank.',
);
