/**
 * A whole quiet day on each demo boat, cycling air conditioners, kettles and all: nothing is told.
 * One day goes through the real broker and the real daemon, the other through the same decoding and
 * rules in one process, which is quicker; `npm run truth` plays a year of them. So that a day takes
 * seconds, sensors speak every ten seconds here; their noise, loss and jitter are those of every day.
 */
import { describe, expect, test } from 'vitest';
import type { PanelState } from '../../rules/index.ts';
import { scenarioNamed } from '../../simulator/scenarios/index.ts';
import { shipOf } from '../../simulator/ships/index.ts';
import { EVERYDAY_SENSORS } from '../../simulator/sensors/sensor-faults.ts';
import { runFast, speakingEvery } from '../truth/run-fast.ts';
import { loadDemoBoat, play } from './stage.ts';

/** How many of the buses with a load were seen, and of how many it was known what fed them. */
class Sight {
  known = 0;
  seen = 0;

  look(panel: PanelState | null): void {
    // With next to nothing flowing, two live sources look alike and it says so.
    const buses = (panel?.buses ?? []).filter(
      (bus) => bus.system === 'ac' && bus.legs.some((leg) => (leg.amps.value ?? 0) > 3),
    );
    this.seen += buses.length;
    this.known += buses.filter((bus) => bus.fedByIsKnown).length;
  }
}

const EVERY_MS = 10_000;

function playFast(scenarioName: string, seed: number, sight: Sight): string[] {
  const scenario = scenarioNamed(scenarioName);
  if (!scenario) throw new Error(`no scenario ${scenarioName}`);
  const boat = loadDemoBoat(scenario.boatName ?? 'Sable Plover');
  const ship = shipOf(boat.name);
  if (!ship) throw new Error(`no physics for ${boat.name}`);
  const told = runFast({
    boat: speakingEvery(boat, EVERY_MS),
    ship,
    scenario,
    seed,
    faults: EVERYDAY_SENSORS,
    evaluateEveryMs: EVERY_MS,
    untilMs: scenario.minutes * 60_000,
    look: ({ panel }) => sight.look(panel),
  });
  return told.map(({ atSeconds, type, event }) => `${atSeconds} s ${type} ${event.alert.title}`);
}

describe('a quiet day tells nothing', { timeout: 600_000 }, () => {
  test('through broker and daemon', async () => {
    const sight = new Sight();
    const told = await play('quiet-day-canal', 1, {
      stepMs: 10_000,
      everyMs: EVERY_MS,
      watch: ({ daemon }) => sight.look(daemon.station.panel),
    });
    expect(told.map((own) => `${own.atSeconds} s ${own.type} ${own.title}`)).toEqual([]);
    // Not quiet for want of sight: it knew what fed the buses nearly all day.
    expect(sight.known / sight.seen).toBeGreaterThan(0.95);
  });

  test('of the boat with two buses', () => {
    const sight = new Sight();
    expect(playFast('quiet-day', 1, sight)).toEqual([]);
    expect(sight.known / sight.seen).toBeGreaterThan(0.95);
  });
});
