/** The morning line and the weekly summary: how she is, whether or not anything is wrong. */
import type { Priority } from '../alerts/alert.ts';
import { PRIORITIES } from '../alerts/alert.ts';
import { batteryOutlook } from '../catalogue/battery-words.ts';
import { percent } from '../catalogue/rule.ts';
import { inWords } from '../panel/reasons.ts';
import type { BatteryState, PanelState } from '../panel/panel-state.ts';
import type { Wording } from './alert-words.ts';
import { countsOf, standingLines } from './digest.ts';
import type { Letter, ToldAlert } from './letter.ts';
import { minutesOf } from './local-time.ts';
import type { LocalTime } from './local-time.ts';
import type { Sent } from './memory.ts';
import { bounded, CLOSING, counted, headline, plain } from './plain-line.ts';
import { WEEK_MS } from './tally.ts';
import type { Tally } from './tally.ts';
import type { Contact } from './telling-settings.ts';
import { EXPIRES_MS } from './urgency.ts';
import type { Addressed } from './writing.ts';

const DAY_MS = 86_400_000;
/** Later than this it is no morning line any more, as after a long restart. */
const LATE_MINUTES = 120;

export type SummaryKind = 'morning line' | 'weekly summary';

/** Which is due now and has not been written today. */
export function summaryDue(
  { morningLine, weekly }: Contact,
  sent: Sent,
  time: LocalTime,
  nowMs: number,
): { kind: SummaryKind; date: string } | null {
  if (morningLine === undefined && weekly === undefined) return null;
  const { date, minuteOfDay, weekday } = time.at(nowMs);
  const isTime = (at: string): boolean => {
    const late = minuteOfDay - minutesOf(at);
    return late >= 0 && late <= LATE_MINUTES;
  };
  if (morningLine !== undefined && sent.morningLine !== date && isTime(morningLine)) {
    return { kind: 'morning line', date };
  }
  if (weekly && weekly.day === weekday && sent.weekly !== date && isTime(weekly.at)) {
    return { kind: 'weekly summary', date };
  }
  return null;
}

/** `standing`: alerts that hold and are not put away. */
export function summaryLetters(
  { kind, date }: { kind: SummaryKind; date: string },
  to: Addressed,
  { panel, time, nowMs }: Wording,
  tally: Tally,
  standing: readonly ToldAlert[],
): Letter[] {
  const fromMs = nowMs - (kind === 'morning line' ? DAY_MS : WEEK_MS);
  const span = kind === 'morning line' ? 'last day' : 'last week';
  const counts = countWords(tally.since(fromMs));
  const state = standing.length === 0 ? 'nothing is wrong that panelward sees' : countsOf(standing);
  const parts = [state, ...shoreWords(panel), ...panel.batteries.map(batteryWords)];
  const comes = tally
    .comesSince(fromMs)
    .map(({ atMs, title }) => `${time.clock(atMs, nowMs)} ${plain(title)}.`);
  const same = {
    kind,
    contact: to.contact,
    boat: to.boat,
    priority: 'caution' as const,
    alertId: null,
    about: [],
    headline: headline(to.boat, `${kind} of ${date}: ${parts.join(', ')}`),
    text: [
      ...standingLines(standing, time, nowMs),
      `In the ${span} ${counts} came.`,
      ...bounded(comes),
      ...panel.batteries.map((own) => batteryOutlook(own)).filter((own) => own !== ''),
      ...silentWords(panel),
      '',
      CLOSING,
    ].join('\n'),
    writtenAtMs: nowMs,
    dueAtMs: nowMs,
    expiresAtMs: nowMs + EXPIRES_MS.caution,
  };
  const name = kind.replaceAll(' ', '-');
  return to.ways.map((way) => ({ ...same, way, key: `${name}.${to.contact}.${way}.${date}` }));
}

function countWords(counts: Record<Priority, number>): string {
  const words = PRIORITIES.filter((own) => counts[own] > 0).map((own) => counted(counts[own], own));
  return words.length === 0 ? 'no alert' : inWords(words);
}

function shoreWords(panel: PanelState): string[] {
  const legs = panel.sources
    .filter(({ kind }) => kind === 'shore inlet')
    .flatMap((own) => own.legs);
  if (legs.length === 0) return [];
  if (legs.some(({ live }) => live === 'live')) return ['shore power reads live'];
  return legs.every(({ live }) => live === 'dead')
    ? ['shore power reads no voltage']
    : ['shore power not known'];
}

function batteryWords({ label, stateOfCharge, volts }: BatteryState): string {
  if (stateOfCharge.value !== null) return `${label} ${percent(stateOfCharge.value)}`;
  return volts.value === null ? `${label} not known` : `${label} ${volts.value.toFixed(1)} V`;
}

function silentWords({ points }: PanelState): string[] {
  const silent = points.filter(({ freshness }) => freshness !== 'fresh').length;
  return silent === 0
    ? []
    : [`${silent} of ${points.length} points are silent; what they measure is not known.`];
}
