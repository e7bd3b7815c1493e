/** Points of the boat file: what is measured and where the reading comes from. */
import * as z from 'zod';
import { idOf, map, numberOf, oneNumberOf, oneOf, text } from './file-fields.ts';

export const QUANTITIES = [
  'volts',
  'amps',
  'watts',
  'hertz',
  'powerFactor',
  'stateOfCharge',
  'celsius',
  'position',
  'switch',
] as const;

const mqttAddress = map(
  {
    topic: text('Topic, without wildcards.', 256),
    pointer: text(
      'JSON Pointer (RFC 6901) into the payload, such as /l1/volts. Default: the whole payload is one number or word.',
      256,
    ).optional(),
  },
  '{ topic: panel/bow, pointer: /l1/volts }',
  'Where the reading comes from, over MQTT. Give either this or `marineData`.',
);

const marineDataAddress = map(
  {
    path: text(
      'Path of open marine data below the vessel itself, such as electrical.batteries.house.voltage.',
      256,
    ),
    source: text(
      'Pattern for the name of its source, `*` for any run of characters. Default: the first source seen is kept.',
      256,
    ).optional(),
  },
  '{ path: electrical.batteries.house.voltage }',
  'Where the reading comes from, as open marine data. Give either this or `mqtt`.',
);

const factor = (help: string) => numberOf('', -1e9, 1e9, help);

export const pointSchema = map(
  {
    of: idOf('a part', 'What it is measured at.'),
    leg: z
      .string({ error: 'the name of a leg' })
      .describe(
        'Leg that is measured. Default: the only leg of the part; needed where it has two, for volts, amps, watts and powerFactor. Volts across both legs: both names joined, such as L1-L2.',
      )
      .optional(),
    quantity: oneOf(QUANTITIES, 'What is measured.'),
    mqtt: mqttAddress.optional(),
    marineData: marineDataAddress.optional(),
    unit: text(
      'Unit of the number as it is sent, after scale and offset. Default: V, A, W, Hz, ratio or C by quantity; K for temperatures of open marine data.',
      20,
    ).optional(),
    scale: factor('The raw number is multiplied by this first. Default: 1.').optional(),
    offset: factor('Then this is added, in `unit`. Default: 0.').optional(),
    sign: oneNumberOf(
      [1, -1],
      '-1 turns a clamp that was put on the wrong way round. Default: 1.',
    ).optional(),
    words: z
      .record(
        text('The word or number as it is sent.', 80),
        z.string({ error: 'the name of a position' }),
        { error: "a map of words such as { '1': closed, '0': open }" },
      )
      .describe(
        'For position and switch: word or number as it is sent, to the name of the position, or to closed, open, tripped. Default: the words are sent as they are called.',
      )
      .optional(),
    everySeconds: numberOf(
      'seconds',
      0.05,
      86_400,
      'How often the sensor is expected to speak. Default: 1.',
    ).optional(),
    min: factor(
      'Readings below are refused as impossible; in V, A, W, Hz, ratio or C, after the sign. Default: by quantity and rating.',
    ).optional(),
    max: factor('Readings above are refused as impossible; as `min`.').optional(),
  },
  '{ of: shore, quantity: volts, mqtt: { topic: panel/shore } }',
  'One measured quantity.',
);
