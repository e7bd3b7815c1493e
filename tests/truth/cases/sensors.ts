/** Sensors that fall silent, freeze, die with the power they measure, or speak of old times. */
import { createWatch } from '../../../rules/index.ts';
import { after } from '../../../simulator/scenarios/scenario.ts';
import type { SensorAction } from '../../../simulator/action.ts';
import { sablePlover } from '../../simulator/demo-boats.ts';
import type { Look } from '../run-fast.ts';
import { neverRaises, raises, writes } from '../truth-case.ts';
import type { Expectation, Played, TruthCase } from '../truth-case.ts';
import { AC_PUBLISHERS, ALL_PUBLISHERS, INLET } from './at-the-dock.ts';

const LOST = /^shore-power-lost$/;
const SILENT = /^(sensor-silent|sensor-frozen|blind|contradiction)$/;
const OUTAGE = /^(shore-power-lost|sensor-silent|sensor-frozen|blind|contradiction|battery-low)$/;

function all(
  publishers: readonly string[],
  clock: string,
  fault: SensorAction['fault'],
): TruthCase['script'] {
  return publishers.map((publisher) => after(clock, { do: 'sensor', publisher, fault }));
}

const bowOf = ({ panel }: Look) => panel.sources.find(({ id }) => id === INLET);

/** Notes when the page would show the inlet so, after `fromMs`. */
const notesWhen =
  (name: string, live: 'live' | 'dead', fromMs: number): NonNullable<TruthCase['look']> =>
  (look, moments) => {
    if (look.atMs < fromMs || moments.has(name)) return;
    const isSo = bowOf(look)?.legs.some((leg) => leg.live === live);
    if (isSo === true) moments.set(name, look.atMs / 1000);
  };

const neverNoted = (what: string, name: string): Expectation => ({
  what,
  judge: ({ moments }: Played) => ({ isMet: !moments.has(name), delaySeconds: null }),
});

const RESTART_MS = 12 * 60_000;

export const SENSOR_CASES: readonly TruthCase[] = [
  {
    id: 'T08',
    title: 'The AC publishers lose their network for 7 min, everything on',
    startsAt: '15:00',
    minutes: 25,
    crew: 'calm',
    script: [...all(AC_PUBLISHERS, '5:00', 'silent'), ...all(AC_PUBLISHERS, '12:00', 'well')],
    look: notesWhen('said to be dead', 'dead', 5 * 60_000),
    must: [
      neverRaises({ what: 'no shore alarm', rule: LOST }),
      neverNoted('never said to be dead', 'said to be dead'),
      neverRaises({ what: 'no more than a caution', priority: 'warning' }),
      writes('nothing leaves the boat', { least: 0, most: 0 }),
    ],
    belongs: SILENT,
  },
  {
    id: 'T09',
    title: 'AC publishers are mains-powered and die with shore power',
    startsAt: '02:10',
    minutes: 30,
    script: [
      after('5:00', { do: 'pedestal', inlet: INLET, power: 'off' }),
      ...all(AC_PUBLISHERS, '5:00', 'silent'),
    ],
    must: [
      raises({
        what: 'shore power lost within 60 s, from the DC side',
        rule: LOST,
        at: '5:00',
        within: 60,
      }),
      neverRaises({ what: 'at most one alert beside it', most: 2 }),
    ],
    belongs: OUTAGE,
  },
  {
    id: 'T10',
    title: 'The inlet’s publisher is frozen while shore power goes',
    startsAt: '02:10',
    minutes: 30,
    script: [
      ...all(['panel/bow'], '4:00', 'frozen'),
      after('6:00', { do: 'pedestal', inlet: INLET, power: 'off' }),
    ],
    must: [
      raises({
        what: 'shore power lost within 5 min, against the frozen value',
        rule: LOST,
        at: '6:00',
        within: 300,
      }),
    ],
    belongs: /^(shore-power-lost|dead-bus|sensor-frozen|sensor-silent|contradiction|battery-low)$/,
  },
  {
    id: 'T10b',
    title: 'All AC publishers are frozen while shore power goes',
    startsAt: '02:10',
    minutes: 30,
    script: [
      ...all(AC_PUBLISHERS, '4:00', 'frozen'),
      after('6:00', { do: 'pedestal', inlet: INLET, power: 'off' }),
    ],
    must: [
      raises({
        what: 'shore power lost within 5 min, from the DC side',
        rule: LOST,
        at: '6:00',
        within: 300,
      }),
    ],
    belongs: OUTAGE,
  },
  {
    id: 'T11',
    title: 'Restart with a retained 120 V of two days ago, shore power off, sensor silent',
    startsAt: '02:10',
    minutes: 30,
    script: [
      after('5:00', { do: 'pedestal', inlet: INLET, power: 'off' }),
      ...all(['panel/bow'], '5:00', 'silent'),
    ],
    looseSeconds: 0,
    steps: [
      {
        atMs: RESTART_MS,
        act: (_watch, nowMs) => {
          const fresh = createWatch(sablePlover);
          for (const pointId of ['bow-l1-volts', 'bow-l2-volts']) {
            fresh.take({ pointId, value: 120, atMs: nowMs, isRestored: true });
          }
          return fresh;
        },
      },
    ],
    look: notesWhen('said to be live', 'live', RESTART_MS + 1000),
    must: [neverNoted('the retained 120 V is never shown as live', 'said to be live')],
    belongs: /^(shore-power-lost|dead-bus|sensor-silent|sensor-frozen|charger-off|battery-low)$/,
  },
  {
    id: 'T12',
    title: 'All sensors silent for an hour',
    startsAt: '10:00',
    minutes: 80,
    crew: 'calm',
    script: [...all(ALL_PUBLISHERS, '5:00', 'silent'), ...all(ALL_PUBLISHERS, '65:00', 'well')],
    must: [
      raises({ what: 'said to be blind within 3 min', rule: SILENT, at: '5:00', within: 180 }),
      neverRaises({ what: 'one alert', most: 1 }),
    ],
    belongs: SILENT,
  },
  {
    id: 'T12b',
    title: 'Every sensor is silent for 9 min',
    startsAt: '10:00',
    minutes: 18,
    crew: 'calm',
    script: [...all(ALL_PUBLISHERS, '5:00', 'silent'), ...all(ALL_PUBLISHERS, '14:00', 'well')],
    must: [
      raises({ what: 'said to be blind within 3 min', rule: SILENT, at: '5:00', within: 180 }),
      writes('nothing leaves the boat', { least: 0, most: 0 }),
    ],
    belongs: SILENT,
  },
];
