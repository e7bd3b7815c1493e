/**
 * Each named scenario, played through the real broker by the simulated boat: it raises exactly its
 * alert, within its delay of what truly happened, and clears it after. Two seeds each: another
 * seed is another day, with other clamps.
 */
import { describe, expect, test } from 'vitest';
import { LIMITS } from '../../rules/index.ts';
import { play } from './stage.ts';
import type { Told } from './stage.ts';

const SEEDS = [1, 2];

/** Slowest sensor period, jitter and one evaluation: what any delay may come later. */
const SLACK_SECONDS = 6;

interface Expected {
  scenario: string;
  /** The only alert that may be told, by rule and subject. */
  key: string;
  priority: string;
  title: string;
  /** Seconds after the start at which it truly begins and ends; from the scenario's own script. */
  beginsAt: number;
  endsAt: number;
  onDelay: number;
  offDelay: number;
}

const EXPECTED: Expected[] = [
  {
    scenario: 'shore-lost-at-night',
    key: 'shore-power-lost.bow-inlet',
    priority: 'alarm',
    title: 'Shore power lost: Bow inlet reads no voltage',
    beginsAt: 240,
    endsAt: 2640,
    onDelay: LIMITS.shoreLostSeconds.default,
    offDelay: LIMITS.shoreBackSeconds.default,
  },
  {
    scenario: 'air-conditioner-without-pump',
    key: 'missing-prerequisite.raw-water-pump',
    priority: 'alarm',
    title: 'Air conditioner, guest cabin runs without Cooling water pump',
    beginsAt: 180,
    endsAt: 780,
    // Its fan runs for a while before the compressor does.
    onDelay: LIMITS.prerequisiteSeconds.default + 60,
    offDelay: LIMITS.prerequisiteClearSeconds.default,
  },
  {
    scenario: 'generator-with-nothing-connected',
    key: 'idle-generator.large-generator',
    priority: 'warning',
    title: 'Large generator runs with nothing connected to it',
    beginsAt: 180,
    endsAt: 900,
    onDelay: LIMITS.idleGeneratorMinutes.default * 60,
    offDelay: LIMITS.idleGeneratorClearSeconds.default,
  },
  {
    scenario: 'overload-at-breakfast',
    key: 'overload.small-generator',
    priority: 'warning',
    title: 'Small generator is overloaded',
    beginsAt: 240,
    endsAt: 480,
    onDelay: LIMITS.overloadSeconds.default,
    offDelay: LIMITS.overloadClearSeconds.default,
  },
  {
    scenario: 'sensor-silent',
    key: 'sensor-silent.from-house-l1-volts',
    priority: 'caution',
    title: 'The sensor on MQTT topic panel/house is silent',
    beginsAt: 240,
    endsAt: 840,
    onDelay: LIMITS.staleSeconds.default + LIMITS.sensorSilentSeconds.default,
    offDelay: 0,
  },
  {
    scenario: 'one-leg-lost',
    key: 'shore-power-lost.bow-inlet',
    priority: 'alarm',
    title: 'One leg of shore power lost: leg L1 of Bow inlet reads no voltage',
    beginsAt: 300,
    endsAt: 900,
    onDelay: LIMITS.shoreLostSeconds.default,
    offDelay: LIMITS.shoreBackSeconds.default,
  },
  {
    scenario: 'shore-lost-canal',
    key: 'shore-power-lost.shore',
    priority: 'alarm',
    title: 'Shore power lost: Shore inlet reads no voltage',
    beginsAt: 240,
    endsAt: 1140,
    onDelay: LIMITS.shoreLostSeconds.default,
    offDelay: LIMITS.shoreBackSeconds.default,
  },
];

const words = (told: Told[]): string =>
  told.map((own) => `${own.atSeconds} s ${own.type} ${own.key}: ${own.title}`).join('\n');

describe.each(EXPECTED)('$scenario', (expected) => {
  test.each(SEEDS)('seed %i raises exactly its alert and clears it', async (seed) => {
    const told = await play(expected.scenario, seed);
    const keys = new Set(told.map((own) => own.key));
    expect([...keys], words(told)).toEqual([expected.key]);

    const raised = told.find((own) => own.type === 'raised');
    expect(raised?.title).toContain(expected.title);
    expect(raised?.event.alert.priority).toBe(expected.priority);
    expect(raised?.atSeconds, words(told)).toBeGreaterThanOrEqual(expected.beginsAt);
    expect(raised?.atSeconds, words(told)).toBeLessThanOrEqual(
      expected.beginsAt + expected.onDelay + SLACK_SECONDS,
    );

    const ends = told.filter((own) => own.type === 'returned' || own.type === 'closed');
    const last = told.at(-1);
    expect(last?.type, words(told)).toBe('returned');
    expect(ends.at(-1)?.atSeconds, words(told)).toBeLessThanOrEqual(
      expected.endsAt + expected.offDelay + SLACK_SECONDS,
    );
  });
});
