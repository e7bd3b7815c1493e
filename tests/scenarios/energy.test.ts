/**
 * The load survey's energy against the simulator's own meters, which add up its physics ten times a
 * second and know nothing of clamps, gaps or samples.
 */
import { describe, expect, it } from 'vitest';
import { BoatSurvey } from '../../rules/index.ts';
import type { Boat, BoatSurveyed } from '../../rules/index.ts';
import type { Scenario } from '../../simulator/scenarios/scenario.ts';
import { scenarioNamed } from '../../simulator/scenarios/index.ts';
import { HARSH_SENSORS } from '../../simulator/sensors/sensor-faults.ts';
import type { SensorFaults } from '../../simulator/sensors/sensor-faults.ts';
import type { Truth } from '../../simulator/truth.ts';
import { sablePlover, shipFor, willowDipper } from '../simulator/demo-boats.ts';
import { runFast, START_MS } from '../truth/run-fast.ts';

const HOURS = 3;
const MINUTE_MS = 60_000;
const SPAN_MS = HOURS * 3_600_000;

interface Compared {
  id: string;
  basis: string;
  metered: number;
  surveyed: number;
  coverage: number;
}

function compare(boat: Boat, scenarioName: string, faults: SensorFaults): Compared[] {
  const scenario = scenarioNamed(scenarioName) as Scenario;
  const survey = new BoatSurvey(boat, START_MS + MINUTE_MS, START_MS + SPAN_MS);
  let [first, last]: (Truth | undefined)[] = [];
  runFast({
    boat,
    ship: shipFor(boat),
    scenario,
    seed: 4,
    faults,
    startsAt: '07:00',
    evaluateEveryMs: MINUTE_MS,
    untilMs: SPAN_MS,
    hear: ({ pointId, atMs, ...rest }) =>
      survey.take(pointId, atMs, 'value' in rest ? rest.value : null),
    look: ({ simulation }) => {
      last = simulation.truth();
      first ??= last;
    },
  });
  return metersBeside(survey.surveyed(), first, last);
}

function metersBeside({ parts }: BoatSurveyed, first?: Truth, last?: Truth): Compared[] {
  const joules = (truth: Truth | undefined, id: string): number =>
    (truth?.circuits.get(id) ?? truth?.sources.get(id))?.joules ?? 0;
  return parts.flatMap(({ id, basis, power }) => {
    const metered = (joules(last, id) - joules(first, id)) / 3600;
    if (metered < 10) return [];
    return [{ id, basis, metered, surveyed: power.total ?? 0, coverage: power.coverage }];
  });
}

const text = (all: readonly Compared[]): string =>
  all
    .map(
      ({ id, basis, metered, surveyed, coverage }) =>
        `${id} (${basis}): meter ${metered.toFixed(1)} Wh, survey ${surveyed.toFixed(1)} Wh, ` +
        `coverage ${(100 * coverage).toFixed(2)} %`,
    )
    .join('\n');

/** Gaps, noise and rounding as on a bad network, of clamps that were calibrated. */
const CALIBRATED: SensorFaults = { ...HARSH_SENSORS, hasGainError: false, hasPhantom: false };

/** Of these volts times amperes is real power: they are resistive, or direct current. */
const WITHOUT_REACTANCE = ['water-heater', 'immersion', 'solar-arch', 'roof-solar'];

describe('energy of three hours, lost readings and all', () => {
  it.each([
    ['sable-plover', sablePlover, 'quiet-day'],
    ['willow-dipper', willowDipper, 'quiet-day-canal'],
  ] as const)('%s', (_, boat, scenario) => {
    const all = compare(boat, scenario, CALIBRATED);
    const isReal = ({ id, basis }: Compared): boolean =>
      basis === 'measured watts' || WITHOUT_REACTANCE.includes(id);
    expect(all.filter(isReal).length).toBeGreaterThanOrEqual(2);
    for (const own of all) {
      // The meter ran on in the gaps, in which the load may have been anything.
      const gaps = 1 - own.coverage;
      expect(own.surveyed, text([own])).toBeGreaterThan(own.metered * (0.99 - 2 * gaps));
      // Volts times amperes of motors is an upper bound, at power factors down to 0.55.
      const most = isReal(own) ? 1.01 : 1 / 0.55;
      expect(own.surveyed, text([own])).toBeLessThan(own.metered * most);
    }
  });
});
