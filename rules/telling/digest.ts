/**
 * One letter out of many that could not leave the boat: what is still there, what was, and how much
 * came and went. Nothing in it is newer than the letters it is made of.
 */
import type { Letter, ToldAlert } from './letter.ts';
import { LocalTime } from './local-time.ts';
import { bounded, CLOSING, counted, headline, plain } from './plain-line.ts';
import { byUrgency, EXPIRES_MS, isAlarm, mostUrgent } from './urgency.ts';

/**
 * `letters`: at least one, all of one contact and way. The key is made of the newest of them and
 * their number, so the same letters make the same digest. `offsetMs`: what has to be added to
 * instants to have UTC. Throws on an unknown zone.
 */
export function digestOf(
  letters: readonly Letter[],
  nowMs: number,
  zone: string,
  offsetMs: number = 0,
): Letter {
  const sorted = letters.toSorted((a, b) => a.writtenAtMs - b.writtenAtMs);
  const [oldest, newest] = [sorted[0], sorted.at(-1)];
  if (!oldest || !newest) throw new RangeError('a digest needs letters');
  if (letters.some(({ contact, way }) => contact !== oldest.contact || way !== oldest.way)) {
    throw new RangeError('a digest goes to one contact by one way');
  }
  const time = new LocalTime(zone, offsetMs);
  const alerts = mergedAlerts(sorted);
  const standing = alerts.filter(({ overAtMs }) => overAtMs === null);
  const over = alerts.filter(({ overAtMs }) => overAtMs !== null);
  const held = `from ${time.span(oldest.writtenAtMs, nowMs, nowMs)}`;
  const { contact, way, boat } = newest;
  return {
    key: `digest.${contact}.${way}.${newest.writtenAtMs}.${letters.length}`,
    kind: 'digest',
    contact,
    way,
    boat,
    priority: mostUrgent(
      standing.map(({ priority }) => priority),
      over.some(({ priority }) => isAlarm(priority)) ? 'warning' : 'caution',
    ),
    alertId: null,
    about: alerts,
    headline: headlineOf(boat, standing, over, time, nowMs, held),
    text: [
      `Nothing could leave the boat ${held}; this one message stands for ${counted(letters.length, 'message')}.`,
      ...standingLines(standing, time, nowMs),
      ...overLines(over, time, nowMs),
      ...otherLines(sorted),
      ...latestText(sorted, standing[0]),
    ].join('\n'),
    writtenAtMs: nowMs,
    dueAtMs: nowMs,
    expiresAtMs: nowMs + EXPIRES_MS.alarm,
  };
}

/** Each alert once, as the last letter about it tells it; the most urgent first, then the earliest. */
export function mergedAlerts(sorted: readonly Pick<Letter, 'about'>[]): ToldAlert[] {
  const byId = new Map<string, ToldAlert>();
  for (const { about } of sorted) {
    for (const own of about) {
      const before = byId.get(own.alertId)?.priority ?? own.priority;
      byId.set(own.alertId, { ...own, priority: mostUrgent([before], own.priority) });
    }
  }
  return [...byId.values()].sort(
    (a, b) => byUrgency(a.priority, b.priority) || a.sinceMs - b.sinceMs,
  );
}

function headlineOf(
  boat: string,
  standing: readonly ToldAlert[],
  over: readonly ToldAlert[],
  time: LocalTime,
  nowMs: number,
  held: string,
): string {
  const [first] = standing;
  if (first) {
    const more = standing.length > 1 ? ` and ${standing.length - 1} more` : '';
    return headline(boat, first.title, `since ${time.clock(first.sinceMs, nowMs)}${more}`);
  }
  if (over.length === 0) return headline(boat, 'messages that could not leave her', held);
  return headline(boat, `${countsOf(over)} came and went while no message could leave her`, held);
}

/** `2 alarms and 1 warning` */
export function countsOf(alerts: readonly Pick<ToldAlert, 'priority'>[]): string {
  const counts = new Map<string, number>();
  for (const { priority } of alerts) counts.set(priority, (counts.get(priority) ?? 0) + 1);
  const words = [...counts].map(([priority, count]) => counted(count, priority));
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

export function standingLines(
  standing: readonly ToldAlert[],
  time: LocalTime,
  nowMs: number,
): string[] {
  return bounded(
    standing.map(
      ({ title, sinceMs }) => `Still there since ${time.clock(sinceMs, nowMs)}: ${plain(title)}.`,
    ),
  );
}

/** Alarms with their hours; what was less is counted. */
export function overLines(over: readonly ToldAlert[], time: LocalTime, nowMs: number): string[] {
  const grave = over.filter(({ priority }) => isAlarm(priority));
  const lesser = over.filter(({ priority }) => !isAlarm(priority));
  return [
    ...bounded(
      grave.map(
        ({ title, sinceMs, overAtMs }) =>
          `Was active ${time.span(sinceMs, overAtMs ?? nowMs, nowMs)}: ${plain(title)}.`,
      ),
    ),
    ...(lesser.length === 0 ? [] : [`${countsOf(lesser)} came and went meanwhile.`]),
  ];
}

/** What is about no alert. Of lines that come every day or week only the newest is worth reading. */
function otherLines(sorted: readonly Letter[]): string[] {
  const newest = (kind: Letter['kind']): Letter[] =>
    sorted.filter((own) => own.kind === kind).slice(-1);
  const said = [
    ...sorted.filter(({ kind, about }) => kind === 'self' && about.length === 0),
    ...newest('morning line'),
    ...newest('weekly summary'),
    ...newest('test'),
  ];
  return bounded(said.map((own) => own.headline));
}

/** What to do about the most urgent alert that is still there, from the newest letter that begins with it. */
function latestText(sorted: readonly Letter[], first: ToldAlert | undefined): string[] {
  const own = first && sorted.findLast(({ about }) => about[0]?.alertId === first.alertId);
  return own ? ['', `${plain(first.title)}:`, own.text] : ['', CLOSING];
}
