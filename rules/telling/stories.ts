/** What alert events do to the stories of the alerts, before anyone is told. */
import type { Alert, AlertEvent } from '../alerts/alert.ts';
import { isStanding } from '../alerts/alert-states.ts';
import { byId } from '../panel/lookup.ts';
import type { PanelState } from '../panel/panel-state.ts';
import { endsUntold, isToldAgain } from './audience.ts';
import type { Knowing, Story } from './memory.ts';
import { nothingKnown } from './memory.ts';
import { byUrgency } from './urgency.ts';

/** The story after an event; null when nothing is to be told of it any more. */
export function afterEvent(before: Story | undefined, event: AlertEvent): Story | null {
  const { evidence: _, points: __, ...alert } = event.alert;
  // What is over and was never heard of is not worth a story.
  if (!before && !isStanding(alert)) return null;
  const story: Story = {
    ...(before ?? { seq: event.seq, people: {}, overAtMs: null, liveSinceMs: null }),
    alert,
    reach: reachOf(event, before),
  };
  story.overAtMs = isStanding(alert) ? null : (alert.returnedAtMs ?? event.atMs);
  switch (event.type) {
    case 'folded': {
      if (alert.phase === 'closed') return null;
      // It waits for an inspection; what becomes of it is told with its cause.
      const ended = { why: 'told with its cause' } as const;
      return { ...story, seq: event.seq, alert: { ...alert, ended } };
    }
    case 'raised':
      return {
        ...story,
        seq: event.seq,
        people: endsUntold(story) ? {} : mapped(story.people, comesAgain),
      };
    // What was put away and stands is told anew.
    case 'unshelved':
    case 'back in service':
      return isStanding(alert)
        ? { ...story, seq: event.seq, people: mapped(story.people, asNew) }
        : story;
    case 'priority changed': {
      const isWorse = before !== undefined && byUrgency(alert.priority, before.alert.priority) < 0;
      return isWorse ? { ...story, seq: event.seq } : story;
    }
    case 'escalated':
    case 're-alarmed':
      return { ...story, people: mapped(story.people, (own) => again(own, story, event)) };
    case 'returned':
    case 'closed':
      return { ...story, seq: event.seq };
    default:
      return story;
  }
}

/**
 * Stories as they go on after a start: `open` are the alerts that are open now. One that has none
 * is over, for all that is known; one that has no story is told as it stands.
 */
export function goingOn(
  stories: readonly Story[],
  open: readonly Alert[],
  nowMs: number,
): readonly Story[] {
  const openIds = new Set(open.map(({ id }) => id));
  const known = new Set(stories.map(({ alert }) => alert.id));
  const ended = stories
    .filter(({ alert }) => isStanding(alert) && !openIds.has(alert.id))
    .map((own) => lost(own, nowMs));
  const begun = open.filter((own) => isStanding(own) && !known.has(own.id)).map(begunBefore);
  return [...ended, ...begun];
}

function lost(story: Story, nowMs: number): Story {
  const { shelved: _, outOfService: __, ...alert } = story.alert;
  const ended = { why: 'no longer watched' } as const;
  return { ...story, alert: { ...alert, phase: 'closed', ended }, overAtMs: nowMs };
}

/** Its id ends in the number of its first event. */
function begunBefore(open: Alert): Story {
  const { evidence: _, points: __, ...alert } = open;
  const seq = Number(/\d+$/.exec(open.id)?.[0] ?? 0);
  return {
    alert,
    seq,
    reach: reachAt(open),
    overAtMs: null,
    liveSinceMs: null,
    people: {},
  };
}

/** Step 2 of the escalation reaches the second contact, the next one everybody. */
function reachOf({ type, alert }: AlertEvent, before: Story | undefined): number {
  const reach = reachAt(alert);
  return type === 'raised' || type === 're-alarmed' ? reach : Math.max(reach, before?.reach ?? 0);
}

function reachAt({ escalation }: Alert): number {
  const step = escalation?.step ?? 0;
  return step >= 3 ? 2 : step >= 2 ? 1 : 0;
}

/** To be told anew, and of its end in any case. */
const asNew = ({ told, hearsTheEnd }: Knowing): Knowing => ({
  ...nothingKnown(),
  ...((told ?? hearsTheEnd) && { hearsTheEnd: true }),
});

/** Come again before the all clear was written, it has never been away. */
const comesAgain = (own: Knowing): Knowing =>
  own.owed?.why === 'over' ? { ...own, owed: null } : own;

function again(own: Knowing, story: Story, { type, atMs, seq }: AlertEvent): Knowing {
  const isDue = type === 're-alarmed' ? own.told && !own.owed : isToldAgain(own, story, atMs);
  return isDue ? { ...own, owed: { why: 'again', sinceMs: atMs, seq } } : own;
}

const mapped = (
  people: Story['people'],
  change: (own: Knowing) => Knowing,
): Record<string, Knowing> =>
  Object.fromEntries(Object.entries(people).map(([id, own]) => [id, change(own)]));

/** Whoever was told of a symptom hears when its cause is over, whatever they hear of otherwise. */
export function handOver(symptom: Story, cause: Story): Story {
  const people = { ...cause.people };
  for (const [id, { told, hearsTheEnd }] of Object.entries(symptom.people)) {
    if (!told && !hearsTheEnd) continue;
    people[id] = { ...(people[id] ?? nothingKnown()), hearsTheEnd: true };
  }
  return { ...cause, people };
}

/** Since when the inlet of a shore loss is live again; null where it is not, or not known. */
export function liveSince(
  { alert, liveSinceMs }: Story,
  panel: PanelState,
  nowMs: number,
): number | null {
  if (alert.rule !== 'shore-power-lost') return null;
  const legs = byId(panel.sources, alert.subject.part)?.legs ?? [];
  const isLive = legs.length > 0 && legs.every(({ live }) => live === 'live');
  return isLive ? (liveSinceMs ?? nowMs) : null;
}
