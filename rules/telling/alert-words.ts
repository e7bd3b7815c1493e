/** The words of one alert in a letter: the first line, and the lines below it. */
import type { Ended } from '../alerts/alert.ts';
import { duration } from '../catalogue/rule.ts';
import type { PanelState } from '../panel/panel-state.ts';
import type { LocalTime } from './local-time.ts';
import type { Reason, Story } from './memory.ts';
import { bounded, plain } from './plain-line.ts';
import { isShoreLoss, shoreBackLines, shoreBackWords, shoreLines } from './shore-words.ts';

export interface Wording {
  panel: PanelState;
  time: LocalTime;
  nowMs: number;
}

/** How one person is told of one alert now. */
export interface Telling {
  story: Story;
  why: Reason;
}

export const isTold = ({ why, story }: Telling): boolean =>
  why !== 'over' && story.overAtMs === null;

/** Whole title with what must not be cut. */
export function firstLine(
  { story, why }: Telling,
  { panel, time, nowMs }: Wording,
): { what: string; end: string } {
  const { alert, overAtMs } = story;
  const since = `since ${time.clock(alert.sinceMs, nowMs)}`;
  if (overAtMs === null) {
    const more = {
      new: '',
      over: '',
      worse: `, now an ${alert.priority}`,
      again: ', nobody has acknowledged it',
    }[why];
    return { what: alert.title, end: `${since}${more}` };
  }
  if (why !== 'over') {
    return { what: alert.title, end: `was active ${time.span(alert.sinceMs, overAtMs, nowMs)}` };
  }
  const ended = alert.ended?.why;
  if (ended === 'no longer watched') {
    return { what: alert.title, end: 'no longer on the list of alerts' };
  }
  if (ended === 'lost in a restart') {
    return { what: alert.title, end: 'panelward restarted and has lost track of it' };
  }
  if (ended === 'told with its cause') {
    return { what: alert.title, end: 'told with its cause from here on' };
  }
  if (ended !== undefined) return { what: alert.title, end: `not told while ${panel.mode.name}` };
  if (isShoreLoss(story)) return shoreBackWords(story, panel, time, nowMs);
  return {
    what: `over: ${alert.title}`,
    end: `at ${time.clock(overAtMs, nowMs)} after ${duration(overAtMs - alert.sinceMs)}`,
  };
}

/** What it means, what to do and the cautions of what holds; of what is over, how long it was. */
export function lines(telling: Telling, wording: Wording): string[] {
  return isTold(telling) ? standingLines(telling, wording) : overLines(telling, wording);
}

function standingLines({ story, why }: Telling, { panel, time, nowMs }: Wording): string[] {
  const { alert } = story;
  const symptoms = alert.symptoms.map(({ title }) => `With it: ${plain(title)}.`);
  return [
    ...(isShoreLoss(story) ? shoreLines(story, panel, time, nowMs) : [alert.means]),
    ...bounded(symptoms),
    `Do this: ${alert.doThis}`,
    ...alert.cautions.map((caution) => `Caution: ${caution}`),
    ...(alert.confidence === 'inferred' ? ['Inferred from other readings, not measured.'] : []),
    ...(alert.isHeld ? ['Not confirmed just now: a sensor behind it is silent.'] : []),
    ...(why === 'again'
      ? [`It was raised at ${time.clock(alert.raisedAtMs, nowMs)}, and nobody has acknowledged it.`]
      : []),
    ...acknowledged(story, time, nowMs),
  ];
}

function overLines({ story }: Telling, { panel, time, nowMs }: Wording): string[] {
  const { alert, overAtMs } = story;
  const ended = alert.ended?.why;
  return [
    ...(isShoreLoss(story) && ended === undefined
      ? shoreBackLines(story, panel, time, nowMs)
      : ended === 'lost in a restart'
        ? [`${plain(alert.title)}: since ${time.clock(alert.sinceMs, nowMs)}.`]
        : [`${plain(alert.title)}: from ${time.span(alert.sinceMs, overAtMs ?? nowMs, nowMs)}.`]),
    ...endedLines(ended),
    ...(alert.needsInspection
      ? [
          'Something may be burnt, bent or wired wrongly: it stays on the list until somebody says that they have looked.',
        ]
      : []),
    ...acknowledged(story, time, nowMs),
  ];
}

function endedLines(why: Ended['why'] | undefined): string[] {
  if (why === undefined) return [];
  if (why !== 'lost in a restart') {
    return ['Whether it still holds is not known: panelward does not tell it any more.'];
  }
  return [
    'Whether it still holds is not known: panelward restarted and has lost what it knew of this. It is told anew if it is seen to hold. Have somebody look.',
  ];
}

function acknowledged({ alert }: Story, time: LocalTime, nowMs: number): string[] {
  const { acknowledgedAtMs, acknowledgedBy } = alert;
  if (acknowledgedAtMs === null || acknowledgedBy === null) return [];
  return [`Acknowledged by ${plain(acknowledgedBy)} at ${time.clock(acknowledgedAtMs, nowMs)}.`];
}
