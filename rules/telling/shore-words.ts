/** What a loss of shore power means in hours, and what stands still without it. */
import { batteryOutlook } from '../catalogue/battery-words.ts';
import { duration } from '../catalogue/rule.ts';
import { withoutLasted } from '../catalogue/shore-loss-words.ts';
import { byId } from '../panel/lookup.ts';
import type { BatteryState, CircuitState, PanelState } from '../panel/panel-state.ts';
import type { LocalTime } from './local-time.ts';
import type { Story } from './memory.ts';

const MOST_NAMES = 5;

export const isShoreLoss = ({ alert }: Pick<Story, 'alert'>): boolean =>
  alert.rule === 'shore-power-lost';

/** What it means, how long each battery lasts and what has stopped; nothing is said twice. */
export function shoreLines(
  { alert }: Story,
  panel: PanelState,
  time: LocalTime,
  nowMs: number,
): string[] {
  const words = (atMs: number): string => time.clock(atMs, nowMs);
  const batteries = panel.batteries
    .filter((own) => batteryOutlook(own) === '' || !alert.means.includes(batteryOutlook(own)))
    .map((own) => batteryOutlook(own, { nowMs, words }) || noOutlook(own));
  return [withoutLasted(alert.means), ...batteries, ...stopped(panel)];
}

const noOutlook = ({ label, hoursLeftBecause }: BatteryState): string =>
  `How long ${label} lasts cannot be told now. ${hoursLeftBecause}`.trim();

/** Circuits without voltage that are at work on other days. */
function stopped(panel: PanelState): string[] {
  const names = panel.circuits
    .filter((own) => own.live === 'dead' && isUsed(own))
    .sort((a, b) => b.habits.lastDay.runMinutes - a.habits.lastDay.runMinutes)
    .map((own) => own.label);
  if (names.length === 0) return [];
  const more = names.length > MOST_NAMES ? ` and ${names.length - MOST_NAMES} more` : '';
  return [`Without power: ${names.slice(0, MOST_NAMES).join(', ')}${more}.`];
}

const isUsed = ({ standingOrder, habits }: CircuitState): boolean =>
  standingOrder === 'should be on' || habits.lastDay.runMinutes > 0;

/** What feeds the AC buses instead. */
function takenOver({ buses, sources }: PanelState): string[] {
  const feeds = new Set(buses.map(({ fedBy }) => fedBy));
  const names = sources.filter(({ id }) => feeds.has(id)).map(({ label }) => label);
  return names.length === 0 ? [] : [`Feeding now: ${names.join(', ')}.`];
}

/** Since when it is back, and how long it was off; `isExact` where the inlet was seen to come alive. */
export function shoreBack(story: Story): { backMs: number; offMs: number; isExact: boolean } {
  const { alert, overAtMs, liveSinceMs } = story;
  const backMs = liveSinceMs ?? overAtMs ?? alert.sinceMs;
  return {
    backMs,
    offMs: Math.max(0, backMs - alert.sinceMs),
    isExact: liveSinceMs !== null,
  };
}

/**
 * The loss was ended by another source that has taken over, and the inlet reads no voltage still.
 */
export function isStillOff({ alert }: Pick<Story, 'alert'>, panel: PanelState): boolean {
  const legs = byId(panel.sources, alert.subject.part)?.legs ?? [];
  return legs.length > 0 && legs.every(({ live }) => live === 'dead');
}

export function shoreBackWords(
  story: Story,
  panel: PanelState,
  time: LocalTime,
  nowMs: number,
): { what: string; end: string } {
  const { backMs, offMs, isExact } = shoreBack(story);
  const inlet = byId(panel.sources, story.alert.subject.part)?.label;
  if (isStillOff(story, panel)) {
    const { sinceMs } = story.alert;
    return {
      what: `another source feeds the boat, ${inlet ?? 'the shore inlet'} still reads no voltage`,
      end: `shore power was lost at ${time.clock(sinceMs, nowMs)}`,
    };
  }
  return {
    what: `shore power is back${inlet === undefined ? '' : ` at ${inlet}`}`,
    end: `since ${time.clock(backMs, nowMs)}, it was off for ${isExact ? '' : 'at most '}${duration(offMs)}`,
  };
}

/** When it went, when it came, and why nothing was said before. */
export function shoreBackLines(
  story: Story,
  panel: PanelState,
  time: LocalTime,
  nowMs: number,
): string[] {
  const { alert, overAtMs, liveSinceMs } = story;
  const clock = (atMs: number): string => time.clock(atMs, nowMs);
  if (isStillOff(story, panel)) {
    return [
      `It was lost at ${clock(alert.sinceMs)}. At ${clock(overAtMs ?? nowMs)} this alert ended because the boat is fed otherwise, not because shore power is back. No message will tell when it is.`,
      ...takenOver(panel),
    ];
  }
  const live = liveSinceMs === null ? '' : ` It reads live since ${clock(liveSinceMs)}.`;
  return [
    `It was lost at ${clock(alert.sinceMs)}.${live} It was watched for a while, and taken for good at ${clock(overAtMs ?? nowMs)}.`,
  ];
}
