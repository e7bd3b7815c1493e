/**
 * What the owner is told about a silence. Says what was last known and what nobody can know; whether
 * power was really lost is said only from what the boat herself has recorded.
 */
import type { Beat, Heard } from './beat.ts';
import type { News } from './silence.ts';

export interface Words {
  /** At most 160 characters. */
  headline: string;
  text: string;
}

/** Writes an instant as a time of day for a person, with the date where it is not today's. */
export type TimeWords = (ms: number, nowMs: number) => string;

const HEADLINE_MOST = 160;
const CAUTION =
  'panelward informs; it never switches, and no message proves a circuit dead or a supply safe. ' +
  'Whoever goes to look: treat every conductor as live.';

/** Times in the time zone of that IANA name; the computer's own where none is given. */
export function timeWords(timeZone?: string): TimeWords {
  const zone = timeZone === undefined ? {} : { timeZone };
  const day = new Intl.DateTimeFormat('en-GB', { ...zone, day: 'numeric', month: 'short' });
  const time = new Intl.DateTimeFormat('en-GB', { ...zone, hour: '2-digit', minute: '2-digit' });
  return (ms, nowMs) => {
    const date = day.format(ms);
    return date === day.format(nowMs) ? time.format(ms) : `${time.format(ms)} on ${date}`;
  };
}

/** The message about one piece of news of the boat called `name`. */
export function wordsOf(name: string, news: News, at: TimeWords): Words {
  switch (news.type) {
    case 'overdue':
    case 'still silent':
      return silent(name, news, at);
    case 'back':
      return back(name, news, at);
  }
}

function silent(
  name: string,
  { type, silence, last, atMs }: News & { type: 'overdue' | 'still silent' },
  at: TimeWords,
): Words {
  const lasts = span(atMs - silence.sinceMs);
  const since = at(silence.sinceMs, atMs);
  if (!last) {
    return {
      headline: cut(`${name} has not been heard yet since the watch ashore began at ${since}`),
      text: lines(
        `For ${lasts} no beat of ${name} has reached the watcher ashore.`,
        'Do this: see that panelward runs aboard and that its heartbeat has the address and the secret of this watcher.',
      ),
    };
  }
  const { beat } = last;
  const again = type === 'still silent' ? 'still ' : '';
  return {
    headline: cut(`${name}: ${again}no word since ${since} (${lasts}); ${beat.says}`),
    text: lines(
      `Last heard ${since}: ${beat.says}.`,
      ...known(beat, last, at, atMs),
      beat.isLast
        ? 'Her last word was that panelward was being stopped in an orderly way.'
        : 'No word since; router, power or panelward itself may be down: the boat cannot say which.',
      doThis(beat),
      CAUTION,
    ),
  };
}

function known(beat: Beat, { receivedAtMs }: Heard, at: TimeWords, nowMs: number): string[] {
  // Her instants as if her clock were ours: what counts is how long before the beat it was.
  const ours = (ms: number): string => at(receivedAtMs - (beat.sentAtMs - ms), nowMs);
  const feeds = beat.feeds.flatMap(({ bus, by }) => (by === null ? [] : `${bus} from ${by}`));
  const alerts = beat.alerts.first.map(
    ({ priority, headline, sinceMs }) =>
      `Open then: ${plain(headline)} (${priority}, since ${ours(sinceMs)}).`,
  );
  const more = beat.alerts.count - beat.alerts.first.length;
  return [
    ...(feeds.length > 0 ? [`Fed then: ${plain(feeds.join(', '))}.`] : []),
    ...alerts,
    ...(more > 0 ? [`And ${more} more alerts.`] : []),
  ];
}

function doThis({ shore, batteries }: Beat): string {
  const left = batteries.find(({ hoursLeft }) => hoursLeft !== null)?.hoursLeft;
  const hours =
    left && left !== null
      ? ` If shore power went with it, her battery lasts ${range(left)} from then.`
      : shore === 'present'
        ? ' If shore power went with it, her batteries carry what stays on.'
        : '';
  return `Do this: call somebody at the dock to see whether she has power.${hours}`;
}

function back(name: string, news: News & { type: 'back' }, at: TimeWords): Words {
  const { silence, last, heard, atMs } = news;
  const lasts = span(atMs - silence.sinceMs);
  const { beat } = heard;
  if (!last) {
    return {
      headline: cut(`${name} is heard: ${beat.says}`),
      text: lines(`The first beat has come, ${lasts} after the watch ashore began.`),
    };
  }
  const silentMs = atMs - last.receivedAtMs;
  const power = powerWords(last.beat, beat, silentMs);
  const meanwhile = raisedMeanwhile(last.beat, beat);
  const ours = (ms: number): string => at(atMs - (beat.sentAtMs - ms), atMs);
  return {
    headline: cut(`${name} is back after ${lasts}. ${power.short}`),
    text: lines(
      `Silent from ${at(silence.sinceMs, atMs)} to ${at(atMs, atMs)} (${lasts}).`,
      power.long,
      computerWords(last.beat, beat, silentMs),
      ...meanwhile.map(({ headline, raisedAtMs, returnedAtMs }) => {
        const end = returnedAtMs === null ? 'and holds still' : `over at ${ours(returnedAtMs)}`;
        return `Recorded aboard meanwhile: ${plain(headline)} (${ours(raisedAtMs)}, ${end}).`;
      }),
      `Now: ${beat.says}.`,
    ),
  };
}

const raisedMeanwhile = (before: Beat, now: Beat): Beat['recent'] =>
  now.recent.filter(({ event }) => event > before.lastEvent);

/** What the boat recorded of her shore power while nobody heard her. */
function powerWords(before: Beat, now: Beat, silentMs: number): { short: string; long: string } {
  const loss = raisedMeanwhile(before, now).find(({ rule }) => rule === 'shore-power-lost');
  if (loss && now.shore !== 'present') {
    const text = 'Shore power was really lost and is still off.';
    return { short: text, long: text };
  }
  if (loss) {
    const forMs = loss.returnedAtMs === null ? null : loss.returnedAtMs - loss.raisedAtMs;
    const text = `Shore power was really lost${forMs === null ? '' : `, for about ${span(forMs)}`}, and is on again.`;
    return { short: text, long: text };
  }
  if (before.shore === 'present' && now.shore === 'absent') {
    const text = 'Shore power is off now.';
    return { short: text, long: `${text} It was on when she was last heard.` };
  }
  if (isStartedAnew(before, now, silentMs)) {
    return {
      short: 'No shore loss recorded, but panelward was down meanwhile.',
      long: 'No shore power loss was recorded, but while panelward was down nothing aboard was watched.',
    };
  }
  return {
    short: 'No power loss was recorded aboard.',
    long: 'No power loss was recorded aboard, and she was watched all the while: it was the way ashore.',
  };
}

/** A clock that was set while it ran counts as another boot, but it has been up all along. */
const isStartedAnew = (before: Beat, now: Beat, silentMs: number): boolean =>
  now.boot !== before.boot && now.upSeconds * 1000 < silentMs;

/** Whether her computer, only panelward, or only the way ashore was down. */
function computerWords(before: Beat, now: Beat, silentMs: number): string {
  const up = now.computer.upSeconds;
  const isRestarted =
    before.computer.run !== null && now.computer.run !== null
      ? before.computer.run !== now.computer.run
      : up !== null && up * 1000 < silentMs;
  if (isRestarted) {
    const since = up === null ? '' : ` It has been up for ${span(up * 1000)}.`;
    return `Her computer was without power or was started anew.${since}`;
  }
  if (isStartedAnew(before, now, silentMs)) {
    return `Her computer ran on, but panelward itself was started anew, ${span(now.upSeconds * 1000)} ago.`;
  }
  return 'Her computer and panelward ran all the while.';
}

/** `40 s`, `12 min`, `3 h 40 min`, `5 days`. */
function span(ms: number): string {
  const seconds = Math.max(0, Math.round(ms / 1000));
  if (seconds < 100) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 100) return `${minutes} min`;
  if (minutes >= 2880) return `${Math.round(minutes / 1440)} days`;
  return minutes % 60 === 0
    ? `${minutes / 60} h`
    : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

function range({ low, high }: { low: number; high: number }): string {
  const [least, most] = [Math.round(low), Math.round(high)];
  return least === most ? `about ${least} h` : `${least} to ${most} h`;
}

/** Without what would break a line or a header. */
const plain = (text: string): string => text.replaceAll(/\p{Cc}+/gu, ' ').trim();

const lines = (...all: string[]): string => all.map(plain).join('\n');

function cut(text: string): string {
  const own = plain(text);
  return own.length <= HEADLINE_MOST ? own : `${own.slice(0, HEADLINE_MOST - 1).trimEnd()}…`;
}
