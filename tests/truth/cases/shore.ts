/** Shore power lost, blinking, half there, changed over, and back. */
import type { Known } from '../../../rules/index.ts';
import { after } from '../../../simulator/scenarios/scenario.ts';
import { neverRaises, raises, returns, writes } from '../truth-case.ts';
import type { Expectation, Played, TruthCase } from '../truth-case.ts';
import { INLET, turn, withoutAir } from './at-the-dock.ts';

const LOST = /^shore-power-lost$/;
/** Said of the outage, or folded into it. */
const OUTAGE = /^(shore-power-lost|shore-blinks|battery-low)$/;

const dead = (clock: string): TruthCase['script'][number] =>
  after(clock, { do: 'pedestal', inlet: INLET, power: 'off' });
const live = (clock: string): TruthCase['script'][number] =>
  after(clock, { do: 'pedestal', inlet: INLET, power: 'on' });

/** Eight blinks of half a second to twenty seconds over one night. */
const BLINK_SECONDS = [0.5, 1, 2, 4, 6, 9, 14, 20];
const BLINKS = BLINK_SECONDS.flatMap((seconds, at) => {
  const fromMs = (30 + at * 55) * 60_000;
  return [
    { ...dead('0:00'), atMs: fromMs },
    { ...live('0:00'), atMs: fromMs + seconds * 1000 },
  ];
});

/** Hours the bank truly lasts to half at the drain of the last half hour, against what was said. */
const forecastIsRight: Expectation = {
  what: 'hours left within 15 % of the truth half an hour later',
  needs: LOST,
  judge: ({ moments }: Played) => {
    const [low, high, truth] = ['said low', 'said high', 'true hours'].map((name) =>
      moments.get(name),
    );
    if (low === undefined || high === undefined || truth === undefined) {
      return { isMet: false, delaySeconds: null };
    }
    return { isMet: low <= truth * 1.15 && high >= truth * 0.85, delaySeconds: null };
  },
};

const valueOf = (known: Known | undefined): number | null => known?.value ?? null;

function watchForecast(
  look: Parameters<NonNullable<TruthCase['look']>>[0],
  moments: Map<string, number>,
): void {
  const { atMs, simulation, panel } = look;
  if (atMs % 60_000 !== 0) return;
  const truth = simulation.truth().batteries.get('house-bank');
  const battery = panel.batteries.find(({ id }) => id === 'house-bank');
  if (truth === undefined || battery === undefined) return;
  if (atMs === 35 * 60_000) {
    moments.set('charge then', truth.stateOfCharge);
    if (valueOf(battery.amps) === null || battery.hoursLeft === null) return;
    moments.set('said low', battery.hoursLeft.low);
    moments.set('said high', battery.hoursLeft.high);
  }
  const then = moments.get('charge then');
  if (atMs !== 95 * 60_000 || then === undefined) return;
  const perHour = then - truth.stateOfCharge;
  moments.set('true hours', (then - battery.floorRatio) / perHour);
}

export const SHORE_CASES: readonly TruthCase[] = [
  {
    id: 'T01',
    title: 'The dock breaker trips at night, nobody aboard',
    startsAt: '02:10',
    minutes: 130,
    settleMinutes: 60,
    script: [dead('4:00'), live('100:00')],
    look: watchForecast,
    must: [
      raises({
        what: 'shore power lost within 5 s',
        rule: LOST,
        about: /bow-inlet/,
        at: '4:00',
        within: 5,
        priority: 'alarm',
      }),
      forecastIsRight,
      returns({
        what: 'back after 2 to 12 min in band, charger charging',
        rule: LOST,
        at: '100:00',
        notBefore: 120,
        within: 720,
      }),
      neverRaises({ what: 'one alert, not its symptoms', most: 1 }),
      writes('two or three letters', { least: 2, most: 3 }),
    ],
    belongs: OUTAGE,
  },
  {
    id: 'T02',
    title: 'Eight blinks of 0.5 to 20 s over a night',
    startsAt: '22:00',
    minutes: 9 * 60,
    looseSeconds: 300,
    script: BLINKS,
    must: [
      raises({
        what: 'the blinks are told together',
        rule: /blink/,
        at: '30:00',
        within: 9 * 3600,
      }),
      neverRaises({ what: 'their tally is told once', rule: /blink/, most: 1 }),
      neverRaises({ what: 'no emergency', priority: 'emergency alarm' }),
    ],
    belongs: OUTAGE,
  },
  {
    id: 'T03',
    title: 'One leg lost at the post',
    startsAt: '14:00',
    minutes: 30,
    script: [
      after('5:00', { do: 'pedestal', inlet: INLET, leg: 'L1', power: 'off' }),
      after('20:00', { do: 'pedestal', inlet: INLET, leg: 'L1', power: 'on' }),
    ],
    must: [
      raises({
        what: 'names the leg within 5 s',
        rule: LOST,
        at: '5:00',
        within: 5,
        says: /[Ll]eg L1/,
      }),
      neverRaises({ what: 'one alert', most: 1 }),
      writes('two or three letters', { least: 2, most: 3 }),
    ],
    belongs: OUTAGE,
  },
  {
    id: 'T04',
    title: 'Owner changes over to the large generator in 12 s, loads off first',
    startsAt: '09:00',
    minutes: 20,
    setUp: withoutAir,
    mode: 'aboard',
    script: [
      after('2:00', { do: 'start', source: 'large-generator' }),
      after('4:00', { do: 'move switch', part: 'water-heater', to: 'open' }),
      after('4:02', { do: 'move switch', part: 'battery-charger', to: 'open' }),
      after('4:30', turn('supply-selector', 'OFF')),
      after('4:42', turn('supply-selector', 'GENERATOR')),
      after('5:10', { do: 'move switch', part: 'battery-charger', to: 'closed' }),
      after('5:30', { do: 'move switch', part: 'water-heater', to: 'closed' }),
    ],
    must: [
      neverRaises({ what: 'no alert' }),
      {
        what: 'event: source changed',
        judge: ({ panelEvents, looseSeconds }) => {
          const change = panelEvents.find(({ event }) => event.type === 'source changed');
          const delaySeconds =
            change === undefined ? null : change.atSeconds - (4 * 60 + 42) - looseSeconds;
          return { isMet: change !== undefined, delaySeconds };
        },
      },
    ],
    belongs: /^$/,
  },
  {
    id: 'T27',
    title: 'Shore power lost on a hot afternoon with everything on',
    startsAt: '16:00',
    minutes: 40,
    crew: 'lively',
    script: [dead('10:00')],
    must: [
      raises({
        what: 'shore power lost within 5 s',
        rule: LOST,
        at: '10:00',
        within: 5,
        priority: 'alarm',
      }),
      neverRaises({ what: 'exactly one alert of it', most: 1, from: '10:00' }),
    ],
    belongs: OUTAGE,
  },
  {
    id: 'T41',
    title: 'Power returns at 76 V',
    startsAt: '11:00',
    minutes: 40,
    setUp: withoutAir,
    script: [
      dead('4:00'),
      after('14:00', { do: 'change dock', inlet: INLET, dock: { openCircuitVolts: 76 } }),
      live('14:00'),
    ],
    look: ({ atMs, watch }, moments) => {
      if (atMs < 14 * 60_000 || moments.has('low volts said')) return;
      const isSaid = watch
        .openAlerts()
        .some(
          ({ rule, symptoms, evidence }) =>
            rule === 'low-voltage' ||
            symptoms.some(({ key }) => key.startsWith('low-voltage')) ||
            evidence.some(
              ({ unit, value }) => unit === 'V' && (value ?? 0) > 60 && (value ?? 0) < 80,
            ),
        );
      if (isSaid) moments.set('low volts said', atMs / 1000);
    },
    must: [
      raises({ what: 'shore power lost', rule: LOST, at: '4:00', within: 5 }),
      neverRaises({
        what: 'never said to be back',
        rule: LOST,
        types: ['returned', 'closed'],
        from: '14:00',
      }),
      {
        what: 'within 2 min an alert that stands names the low volts',
        needs: /^low-voltage/,
        judge: ({ moments, looseSeconds }) => {
          const saidAt = moments.get('low volts said');
          const delaySeconds = saidAt === undefined ? null : saidAt - 14 * 60 - looseSeconds;
          return { isMet: delaySeconds !== null && delaySeconds <= 120, delaySeconds };
        },
      },
    ],
    belongs: /^(shore-power-lost|low-voltage|weak-supply|battery-low|charger-off)$/,
  },
  {
    id: 'T65',
    title: 'Power returns with everything on and trips the dock breaker again',
    startsAt: '16:00',
    minutes: 40,
    crew: 'calm',
    script: [dead('5:00'), live('20:00'), dead('20:25')],
    must: [
      raises({ what: 'shore power lost', rule: LOST, at: '5:00', within: 5 }),
      neverRaises({ what: 'never said to be back', rule: LOST, types: ['returned'] }),
    ],
    belongs: OUTAGE,
  },
];
