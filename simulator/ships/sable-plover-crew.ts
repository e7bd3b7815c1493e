/**
 * A day of Sable Plover's two people. They know their boat: never the kettle with the toaster, no
 * microwave oven while the cooker is on, and the water heater off while the laundry runs.
 */
import type { TimedAction, VesselAction } from '../action.ts';
import type { Random } from '../random.ts';
import { DayPlan } from './day-plan.ts';
import type { Mood } from './ship.ts';

const GALLEY = 'galley-outlets';
const SALOON = 'saloon-outlets';

export function sablePloverDay(random: Random, mood: Mood): TimedAction<VesselAction>[] {
  const day = new DayPlan(random);
  morning(day);
  if (mood === 'lively') exerciseGenerator(day);
  noon(day, random, mood);
  evening(day, mood);
  return day.inOrder();
}

function morning(day: DayPlan): void {
  day
    .setWatts('06:45', 'cabin-lights', 40)
    .drawWater('06:50', 'fresh-water-pump', 4)
    .use('07:05', GALLEY, 'kettle', 4, 2)
    .use('07:15', GALLEY, 'toaster', 3, 2)
    .drawWater('07:20', 'fresh-water-pump', 38)
    .drawWater('07:22', 'water-heater', 28)
    .use('07:28', GALLEY, 'coffee maker', 7, 3)
    .use('07:50', SALOON, 'hair dryer', 5, 6)
    .setWatts('08:10', 'cabin-lights', 6)
    .drawWater('08:20', 'fresh-water-pump', 12)
    .use('09:30', SALOON, 'laptop', 140, 15)
    .use('10:15', GALLEY, 'coffee maker', 7, 8);
}

function noon(day: DayPlan, random: Random, mood: Mood): void {
  if (mood === 'lively') {
    day
      .use('11:40', SALOON, 'vacuum cleaner', 12, 8)
      .use('12:10', GALLEY, 'kettle', 4, 3)
      .drawWater('12:15', 'fresh-water-pump', 6);
  }
  day.use('12:35', GALLEY, 'microwave', 5, 8).drawWater('13:00', 'fresh-water-pump', 8);
  if (mood === 'lively' || random.chance(0.5)) {
    day
      .move('13:55', 'water-heater', 'open')
      .at('14:00', { do: 'load', circuit: 'laundry', command: { turn: 'on' } })
      .drawWater('14:01', 'fresh-water-pump', 30)
      .move('15:20', 'water-heater', 'closed');
  }
  day.use('15:40', GALLEY, 'kettle', 4, 8);
}

function evening(day: DayPlan, mood: Mood): void {
  if (mood === 'lively') day.use('17:10', GALLEY, 'microwave', 4, 10);
  day
    .setWatts('18:20', 'cabin-lights', 45)
    .use('18:30', 'cooker', 'plates', 35, 12)
    .drawWater('19:40', 'fresh-water-pump', 22)
    .drawWater('19:41', 'water-heater', 14)
    .use('20:00', SALOON, 'television', 140, 15)
    .setWatts('20:15', 'cabin-lights', 75)
    .use('21:00', GALLEY, 'kettle', 4, 8)
    .drawWater('22:30', 'fresh-water-pump', 7)
    .setWatts('22:45', 'cabin-lights', 6);
}

/** The small generator carries the house bus for forty minutes, so that it does not rust. */
function exerciseGenerator(day: DayPlan): void {
  day
    .at('10:40', { do: 'start', source: 'small-generator' })
    .at('10:42', { do: 'turn selector', selector: 'house-selector', to: 'SMALL GENERATOR' })
    .at('11:20', { do: 'turn selector', selector: 'house-selector', to: 'SUPPLY' })
    .at('11:23', { do: 'stop', source: 'small-generator' });
}
