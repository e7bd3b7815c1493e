/** The state of the boat as a beat tells it: few facts, and one line of words. Pure. */
import type { Alert, BatteryState, PanelState } from '../../rules/index.ts';
import type { Beat } from '../ashore/beat.ts';

export type LastKnown = Pick<Beat, 'says' | 'shore' | 'feeds' | 'batteries' | 'alerts' | 'mode'>;

const ALERTS_MOST = 10;
const WORDS_MOST = 150;

/** `utcMsOf`: the UTC of an instant of the daemon's clock. `alerts`: open ones, most urgent first. */
export function lastKnown(
  panel: PanelState,
  alerts: readonly Alert[],
  utcMsOf: (ms: number) => number,
): LastKnown {
  const open = alerts.filter(({ returnedAtMs }) => returnedAtMs === null);
  const shore = shoreOf(panel, open);
  return {
    mode: panel.mode.name,
    shore,
    feeds: panel.buses.slice(0, 40).map(({ label, fedBy }) => ({
      bus: cut(label, 100),
      by: fedBy === null ? null : cut(labelOf(panel, fedBy), 100),
    })),
    batteries: panel.batteries.slice(0, 10).map(({ label, stateOfCharge, hoursLeft }) => ({
      name: cut(label, 100),
      stateOfCharge: stateOfCharge.value,
      hoursLeft: hoursLeft && { low: hoursLeft.low, high: hoursLeft.high },
    })),
    alerts: {
      count: open.length,
      first: open.slice(0, ALERTS_MOST).map(({ priority, title, sinceMs }) => ({
        priority,
        headline: cut(title, WORDS_MOST),
        sinceMs: utcMsOf(sinceMs),
      })),
    },
    says: says(shore, panel.batteries, open),
  };
}

/** Whether any shore inlet has voltage; an inlet that nothing measures does not hide a loss. */
function shoreOf({ sources }: PanelState, open: readonly Alert[]): Beat['shore'] {
  const legs = sources.flatMap(({ kind, legs: own }) => (kind === 'shore inlet' ? own : []));
  if (legs.length === 0) return 'none';
  if (legs.some(({ live }) => live === 'live')) return 'present';
  const isLost = open.some(({ rule }) => rule === 'shore-power-lost');
  return isLost || legs.every(({ live }) => live === 'dead') ? 'absent' : 'unknown';
}

const SHORE_WORDS: Record<Beat['shore'], string[]> = {
  present: ['shore power on'],
  absent: ['no shore power'],
  unknown: ['shore power not known'],
  none: [],
};

function says(
  shore: Beat['shore'],
  batteries: readonly BatteryState[],
  open: readonly Alert[],
): string {
  const banks = batteries.slice(0, 2).flatMap(({ label, stateOfCharge }) => {
    const ratio = stateOfCharge.value;
    return ratio === null ? [] : [`${cut(label, 30).toLowerCase()} ${Math.round(ratio * 100)} %`];
  });
  const [first] = open;
  const alerts = !first
    ? 'no alert open'
    : open.length === 1
      ? `1 alert open: ${first.title}`
      : `${open.length} alerts open, first: ${first.title}`;
  return cut([...SHORE_WORDS[shore], ...banks, alerts].join(', '), WORDS_MOST);
}

function labelOf({ sources, batteries, buses }: PanelState, id: string): string {
  return [...sources, ...batteries, ...buses].find((own) => own.id === id)?.label ?? id;
}

/** The text in at most so many characters, without any that control a terminal or break a line. */
export function cut(text: string, most: number): string {
  const plain = text.replaceAll(/\p{Cc}+/gu, ' ').trim();
  return plain.length <= most ? plain : `${plain.slice(0, most - 1).trimEnd()}…`;
}
