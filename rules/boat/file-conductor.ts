/** A conductor of the boat file: shore cord or the wire of a circuit. */
import * as z from 'zod';
import { TABULATED_AWG } from '../electrical/conductors.ts';
import { map, numberOf, trueOrFalse, wholeNumber } from './file-fields.ts';

const AWG_WORDS = `an AWG size, one of ${TABULATED_AWG.join(', ')}`;

/** `10` reads as a number, `4/0` as text; both are meant. */
const awg = z
  .union([z.enum(TABULATED_AWG), z.literal(TABULATED_AWG.map(Number).filter(Number.isFinite))], {
    error: AWG_WORDS,
  })
  .describe(
    'American wire gauge: 18 to 1, or 1/0 to 4/0. Give either this or `squareMillimetres`.',
  );

export const conductorSchema = (help: string) =>
  map(
    {
      awg: awg.optional(),
      squareMillimetres: numberOf(
        'square millimetres',
        0.5,
        500,
        'Copper area. Give either this or `awg`.',
      ).optional(),
      insulationCelsius: numberOf(
        'degrees Celsius',
        60,
        250,
        'Temperature rating of the insulation, as printed on it.',
      ),
      isInEngineSpace: trueOrFalse(
        'Runs through an engine space, which is hotter and lowers what it may carry. Default: false.',
      ).optional(),
      bundled: wholeNumber(
        1,
        200,
        'Current-carrying conductors bundled together, this one included; three and more lower what each may carry from 50 V on. Default: 2.',
      ).optional(),
      lengthMetres: numberOf(
        'metres',
        0.1,
        500,
        'One-way length. Give either this or `lengthFeet`, or neither.',
      ).optional(),
      lengthFeet: numberOf(
        'feet',
        0.1,
        1600,
        'One-way length. Give either this or `lengthMetres`, or neither.',
      ).optional(),
    },
    '{ awg: 10, insulationCelsius: 105 }',
    help,
  );
