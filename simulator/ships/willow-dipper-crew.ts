/**
 * A day of Willow Dipper's crew: the galley on shore power by night and on the inverter by day,
 * while the sun shines. Never the kettle while the washing machine or the immersion heats on shore.
 */
import type { TimedAction, VesselAction } from '../action.ts';
import type { Random } from '../random.ts';
import { DayPlan } from './day-plan.ts';
import type { Mood } from './ship.ts';

const SOCKETS = 'sockets';

export function willowDipperDay(random: Random, mood: Mood): TimedAction<VesselAction>[] {
  const day = new DayPlan(random);
  day
    .setWatts('06:50', 'lights', 25)
    .drawWater('07:00', 'water-pump', 4)
    .use('07:15', SOCKETS, 'kettle', 3, 4)
    .use('07:30', SOCKETS, 'toaster', 3, 4)
    .setWatts('08:00', 'lights', 4);
  byInverter(day, mood);
  evening(day, mood === 'lively' || random.chance(0.5));
  return day.inOrder();
}

function byInverter(day: DayPlan, mood: Mood): void {
  day
    .at('08:45', { do: 'start', source: 'inverter' })
    .at('08:46', { do: 'turn selector', selector: 'supply', to: 'INVERTER' })
    .move('09:30', 'immersion', 'closed')
    .use('09:40', SOCKETS, 'laptop', 150, 10)
    .use('10:30', SOCKETS, 'kettle', 3, 10)
    .drawWater('12:00', 'water-pump', 30, 8)
    .drawWater('12:01', 'immersion', 18, 8)
    .use('12:45', SOCKETS, 'microwave', 6, 8)
    .drawWater('13:15', 'water-pump', 8)
    .move('14:30', 'immersion', 'open')
    .use('15:30', SOCKETS, 'kettle', 3, 10);
  if (mood === 'lively') {
    day.use('11:20', SOCKETS, 'microwave', 3, 5).use('16:40', SOCKETS, 'kettle', 3, 5);
  }
  day
    .at('18:00', { do: 'turn selector', selector: 'supply', to: 'SHORE' })
    .at('18:02', { do: 'stop', source: 'inverter' });
}

function evening(day: DayPlan, isWashDay: boolean): void {
  day
    .use('18:30', SOCKETS, 'microwave', 8, 8)
    .drawWater('19:15', 'water-pump', 14)
    .use('19:30', SOCKETS, 'television', 170, 10)
    .setWatts('20:45', 'lights', 40);
  if (isWashDay) {
    day
      .at('20:00', { do: 'load', circuit: 'washing-machine', command: { turn: 'on' } })
      .drawWater('20:00', 'water-pump', 12, 0);
  }
  day
    .use('22:00', SOCKETS, 'kettle', 3, 8)
    .drawWater('22:40', 'water-pump', 5)
    .setWatts('23:00', 'lights', 4);
}
