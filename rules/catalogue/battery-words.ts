/** Words about battery banks that several rules share. */
import type { Boat, PartId } from '../boat/boat.ts';
import { MOST_HOURS } from '../panel/battery-forecast.ts';
import type { BatteryState, HoursLeft } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { amps, percent } from './rule.ts';
import type { RuleContext } from './rule.ts';

/** For whoever goes to the bank itself. Common practice. */
export const BATTERY_CAUTIONS = {
  shortCircuit:
    'A battery bank melts a tool that is dropped across its terminals: no rings, no bare spanners.',
  gas: 'A lead-acid bank gives off hydrogen while it is charged: air the space, and no flame or spark near it.',
  hot: 'Leave a bank that is hot, swollen or smells to itself, air the space and call for help.',
} as const;

/** `about 9 to 12 hours`, rounded outwards, since nothing finer is known. */
export function hoursWords({ low, high }: HoursLeft): string {
  if (low >= MOST_HOURS) return `more than ${MOST_HOURS / 24} days`;
  if (high >= MOST_HOURS) return `at least ${range(low, low)}`;
  return `about ${range(low, high)}`;
}

function range(low: number, high: number): string {
  if (high < 2) {
    const [from, to] = [Math.floor(low * 6) * 10, Math.ceil(high * 6) * 10];
    return from === to ? `${to} minutes` : `${from} to ${to} minutes`;
  }
  const days = low >= 72 ? 24 : 1;
  const [from, to] = [Math.floor(low / days), Math.ceil(high / days)];
  const unit = days === 24 ? 'days' : 'hours';
  return from === to ? `${to} ${unit}` : `${from} to ${to} ${unit}`;
}

const floorWords = (ratio: number): string => (ratio === 0.5 ? 'half' : percent(ratio));

/**
 * How long the bank lasts, as a sentence that any alert may carry; empty where it cannot be told or
 * it is being charged. With `clock`, which turns an instant into a time of day in the boat's own
 * zone, it says when; without, in how many hours.
 */
export function batteryOutlook(
  state: BatteryState,
  clock?: { nowMs: number; words: (atMs: number) => string },
): string {
  const { hoursLeft, floorRatio, label } = state;
  if (hoursLeft === null) return '';
  const floor = floorWords(floorRatio);
  if (hoursLeft.high === 0) return `${label} is below ${floor} now.`;
  if (!clock || hoursLeft.high >= MOST_HOURS) {
    return `At the present pattern ${label} reaches ${floor} in ${hoursWords(hoursLeft)}.`;
  }
  const at = (hours: number): string => clock.words(clock.nowMs + hours * 3_600_000);
  return `At the present pattern ${label} reaches ${floor} at about ${at(hoursLeft.low)} to ${at(hoursLeft.high)}.`;
}

/** The two largest loads that the bank carries now, as a sentence; empty where none is metered. */
export function largestLoads({ panel }: RuleContext, battery: PartId): string {
  const buses = new Set(panel.buses.filter((bus) => bus.fedBy === battery).map((bus) => bus.id));
  const drawing = panel.circuits
    .filter((own) => buses.has(own.bus) && own.activity === 'drawing')
    .sort((a, b) => (b.amps.value ?? 0) - (a.amps.value ?? 0));
  const names = drawing.slice(0, 2).map((own) => `${own.label} (${amps(own.amps)})`);
  return names.length === 0 ? '' : `It carries ${inWords(names)} above all.`;
}

/** Circuits that charge the bank. */
export const chargersOf = (boat: Boat, battery: PartId) =>
  boat.circuits.filter((own) => own.charges === battery);
