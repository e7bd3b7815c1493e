/** Who is told of a silence: those who are told first at once, everybody when it goes on. Pure. */
import type { Contact, Letter } from '../../rules/index.ts';
import type { News } from './silence.ts';
import type { TimeWords, Words } from './words.ts';
import { wordsOf } from './words.ts';

export interface Told {
  /** Id of the boat in the settings. */
  boat: string;
  /** As people say it. */
  name: string;
  contacts: Readonly<Record<string, Contact>>;
  at: TimeWords;
}

/** A silence is worth telling for as long as it may last; the next one says it again after a day. */
const EXPIRES_MS = 72 * 3_600_000;

/** One letter for each contact and way. The same news makes the same keys. */
export function lettersOf(news: News, { boat, name, contacts, at }: Told): Letter[] {
  const words: Words = wordsOf(name, news, at);
  const key = `silence.${boat}.${Math.round(news.silence.sinceMs)}.${stageOf(news)}`;
  // Whoever was told of it hears of its end; a silence that was said again was told to everybody.
  const isToAll = news.silence.times > 1;
  return Object.entries(contacts).flatMap(([contact, { ways, told }]) => {
    if (!isToAll && told !== 'first') return [];
    return ways.map((way): Letter => ({
      key: `${key}.${contact}.${way}`,
      kind: 'self',
      contact,
      way,
      priority: news.type === 'back' ? 'warning' : 'alarm',
      alertId: null,
      about: [],
      boat: name,
      ...words,
      writtenAtMs: news.atMs,
      dueAtMs: news.atMs,
      expiresAtMs: news.atMs + EXPIRES_MS,
    }));
  });
}

const stageOf = ({ type, silence }: News): string =>
  type === 'back' ? 'back' : `told-${silence.times}`;
