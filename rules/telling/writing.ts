/** Letters out of what one person is to be told: one for each of their ways. */
import type { Priority } from '../alerts/alert.ts';
import { firstLine, isTold, lines } from './alert-words.ts';
import type { Telling, Wording } from './alert-words.ts';
import { countsOf } from './digest.ts';
import type { Letter, LetterKind, ToldAlert } from './letter.ts';
import type { Owed } from './memory.ts';
import { CLOSING, headline, plain } from './plain-line.ts';
import { byUrgency, EXPIRES_MS, isAtLeast, mostUrgent } from './urgency.ts';

/** Alerts told whole in one letter; of more, the first line of each. */
const MOST_WHOLE = 3;
const MOST_LINES = 12;

export interface Addressed {
  boat: string;
  contact: string;
  ways: readonly string[];
}

export type Item = Telling & { seq: Owed['seq']; priority: Priority };

/**
 * `items`: at least one, what the person is told of. `unsaid`: what came and went while it waited.
 * What still holds stands before what is over, the most urgent first.
 */
export function lettersOf(
  items: readonly Item[],
  to: Addressed,
  wording: Wording,
  unsaid: readonly Priority[],
): Letter[] {
  const sorted = items.toSorted(
    (a, b) =>
      Number(isTold(b)) - Number(isTold(a)) ||
      byUrgency(a.priority, b.priority) ||
      a.story.alert.sinceMs - b.story.alert.sinceMs,
  );
  const [first] = sorted;
  if (!first) return [];
  const { nowMs } = wording;
  const kind = kindOf(sorted);
  const priority = priorityOf(sorted);
  const { what, end } = firstLine(first, wording);
  const more = sorted.length > 1 ? ` and ${sorted.length - 1} more` : '';
  const same = {
    kind,
    contact: to.contact,
    boat: to.boat,
    priority,
    alertId: sorted.length === 1 ? first.story.alert.id : null,
    about: sorted.map(aboutOf),
    headline: headline(to.boat, what, `${end}${more}`),
    text: textOf(sorted, wording, unsaid),
    writtenAtMs: nowMs,
    dueAtMs: nowMs,
    expiresAtMs: nowMs + EXPIRES_MS[priority],
  };
  return to.ways.map((way) => ({ ...same, way, key: keyOf(first, kind, to.contact, way) }));
}

/** The event that made it so names the letter, so it is the same after a restart. */
const keyOf = ({ story, seq }: Item, kind: LetterKind, contact: string, way: string): string =>
  `${kind.replaceAll(' ', '-')}.${contact}.${way}.${story.alert.id}.${seq}`;

function kindOf(items: readonly Item[]): LetterKind {
  if (items.every(({ why }) => why === 'over')) return 'all clear';
  return items.length > 1 ? 'digest' : 'alert';
}

/** What is over is no emergency any more. */
const priorityOf = (items: readonly Item[]): Priority =>
  mostUrgent(
    items.map((own) =>
      isTold(own) || !isAtLeast(own.priority, 'emergency alarm') ? own.priority : 'alarm',
    ),
    'caution',
  );

const aboutOf = ({ story, priority }: Item): ToldAlert => ({
  alertId: story.alert.id,
  priority,
  title: story.alert.title,
  sinceMs: story.alert.sinceMs,
  overAtMs: story.overAtMs,
});

function textOf(items: readonly Item[], wording: Wording, unsaid: readonly Priority[]): string {
  const blocks = items.slice(0, MOST_LINES).map((own, at) => {
    const { what, end } = firstLine(own, wording);
    const title = at === 0 ? [] : ['', `${plain(what)}, ${plain(end)}.`];
    return at < MOST_WHOLE ? title.concat(lines(own, wording)) : title;
  });
  // Cautions that several alerts share are said once.
  const said = new Set<string>();
  const isNew = (line: string): boolean => {
    if (!line.startsWith('Caution: ')) return true;
    const isFirst = !said.has(line);
    said.add(line);
    return isFirst;
  };
  const rest = items.length - MOST_LINES;
  return [
    ...blocks.flat().filter(isNew),
    ...(rest > 0 ? ['', `And ${rest} more.`] : []),
    ...(unsaid.length > 0
      ? ['', `${countsOf(unsaid.map((priority) => ({ priority })))} came and went meanwhile.`]
      : []),
    '',
    CLOSING,
  ].join('\n');
}
