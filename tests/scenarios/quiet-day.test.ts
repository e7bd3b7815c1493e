/**
 * A whole quiet day on each demo boat, cycling air conditioners, kettles and all: nothing is told.
 * Sensors speak every five seconds here and the stage moves in steps of ten, so that a day takes
 * less than a minute; their noise, loss and jitter are those of every day.
 */
import { describe, expect, test } from 'vitest';
import { play } from './stage.ts';

const SEEDS = [1, 2, 3];

describe.each(['quiet-day', 'quiet-day-canal'])('%s', (scenario) => {
  test.each(SEEDS)('seed %i tells nothing all day', { timeout: 600_000 }, async (seed) => {
    let known = 0;
    let seen = 0;
    const told = await play(scenario, seed, {
      stepMs: 10_000,
      everyMs: 5000,
      watch({ daemon }) {
        // With next to nothing flowing, two live sources look alike and it says so.
        const buses = (daemon.station.panel?.buses ?? []).filter(
          (bus) => bus.system === 'ac' && bus.legs.some((leg) => (leg.amps.value ?? 0) > 3),
        );
        seen += buses.length;
        known += buses.filter((bus) => bus.fedByIsKnown).length;
      },
    });
    expect(told.map((own) => `${own.atSeconds} s ${own.type} ${own.title}`)).toEqual([]);
    // Not quiet for want of sight: it knew what fed the buses nearly all day.
    expect(known / seen).toBeGreaterThan(0.95);
  });
});
