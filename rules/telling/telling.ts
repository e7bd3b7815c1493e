/**
 * Who is told of what, when and in which words. Alert events and time in, letters out: pure, and
 * plain JSON to keep. What it remembers is saved in the transaction of the events that changed it,
 * so a restart at any point writes no letter twice and loses none.
 */
import type { Alert, AlertEvent, Mode } from '../alerts/alert.ts';
import { isMuted, isStanding } from '../alerts/alert-states.ts';
import type { PanelState } from '../panel/panel-state.ts';
import type { Wording } from './alert-words.ts';
import { hears, nextOwed } from './audience.ts';
import { GROUPING_MS, maySleep, mayWrite, noteWritten } from './budget.ts';
import type { Letter, ToldAlert } from './letter.ts';
import { isBetween, LocalTime } from './local-time.ts';
import type { Knowing, Sent, Story, TellingMemory } from './memory.ts';
import { nothingKnown, nothingSent, VERSION } from './memory.ts';
import { afterEvent, goingOn, handOver, liveSince } from './stories.ts';
import { summaryDue, summaryLetters } from './summaries.ts';
import { Tally } from './tally.ts';
import type { Contact, TellingSettings } from './telling-settings.ts';
import { byUrgency, mostUrgent } from './urgency.ts';
import type { Addressed, Item } from './writing.ts';
import { lettersOf } from './writing.ts';

export interface TellingNow {
  nowMs: number;
  mode: Mode;
  panel: PanelState;
  /** What has to be added to `nowMs` to have UTC; default 0. Only the words and quiet hours use it. */
  utcOffsetMs?: number;
}

export interface Tellings {
  /** To be kept in the outbox, in the transaction of the events. */
  letters: Letter[];
  /** Keys of earlier letters that are true no more: whoever holds them unsent need not send them. */
  withdrawn: string[];
  /** What `save` gives has changed and must be kept. */
  isChanged: boolean;
}

export interface Telling {
  /** Takes what has just happened, and lets time pass; to be called at every evaluation and act. */
  take(alertEvents: readonly AlertEvent[], now: TellingNow): Tellings;
  /** What later calls change may show in it: put it away, as text, before them. */
  save(): SavedTelling;
}

/** Plain JSON; its shape is its own business. */
export interface SavedTelling {
  version: number;
  [memory: string]: unknown;
}

export interface TellingSetting {
  /** As people say it. */
  boatName: string;
  settings: TellingSettings;
  /**
   * Alerts that are open at the first step. With them, what stands and was never told is told, and what
   * was told and stands no more is taken for over, whatever became of `saved`.
   */
  open?: () => readonly Alert[];
}

/** Goes on from where `saved` left off. Throws on a time zone that is not known. */
export function createTelling(setting: TellingSetting, saved: SavedTelling | null = null): Telling {
  return new BoatTelling(setting, saved?.version === VERSION ? saved : {});
}

class BoatTelling implements Telling {
  readonly #boat: string;
  readonly #settings: TellingSettings;
  readonly #contacts: readonly (readonly [id: string, contact: Contact])[];
  readonly #stories: Map<string, Story>;
  readonly #sent: Map<string, Sent>;
  readonly #tally: Tally;
  #time: LocalTime;
  #offsetMs = 0;
  #withdrawn: string[] = [];
  #isChanged = false;
  /** Until the first step. */
  #open: (() => readonly Alert[]) | undefined;

  constructor({ boatName, settings, open }: TellingSetting, saved: Partial<TellingMemory>) {
    this.#boat = boatName;
    this.#settings = settings;
    this.#contacts = Object.entries(settings.contacts);
    this.#open = open;
    // Nobody waits for a person who has left the settings.
    const isKnown = ([id]: [string, unknown]): boolean => settings.contacts[id] !== undefined;
    this.#stories = new Map(
      Object.entries(saved.stories ?? {}).map(([id, story]) => {
        const people = Object.fromEntries(Object.entries(story.people).filter(isKnown));
        return [id, Object.assign(story, { people })];
      }),
    );
    this.#sent = new Map(
      this.#contacts.map(([id]) => [id, { ...nothingSent(), ...saved.sent?.[id] }]),
    );
    this.#tally = new Tally(saved.tally);
    this.#time = new LocalTime(settings.timeZone);
  }

  take(alertEvents: readonly AlertEvent[], now: TellingNow): Tellings {
    const none: Tellings = { letters: [], withdrawn: [], isChanged: false };
    if (this.#contacts.length === 0) return none;
    this.#withdrawn = [];
    this.#isChanged = alertEvents.length > 0;
    const wording = this.#wording(now);
    this.#goOn(alertEvents, now.nowMs);
    for (const event of alertEvents) this.#note(event);
    for (const story of this.#stories.values()) this.#owe(story, now);
    const letters = this.#contacts.flatMap(([id, contact]) => [
      ...this.#write(id, contact, wording),
      ...this.#writeSummary(id, contact, wording),
    ]);
    for (const [id, own] of this.#stories) if (isDone(own)) this.#stories.delete(id);
    return { letters, withdrawn: this.#withdrawn, isChanged: this.#isChanged };
  }

  save(): SavedTelling {
    const memory: TellingMemory = {
      version: VERSION,
      stories: Object.fromEntries(this.#stories),
      sent: Object.fromEntries(this.#sent),
      tally: this.#tally.save(),
    };
    return { ...memory };
  }

  /** Alerts of events that are taken now begin with them. */
  #goOn(alertEvents: readonly AlertEvent[], nowMs: number): void {
    if (!this.#open) return;
    // What was taken up has been told before: its letters keep their keys.
    const isNew = (id: string): boolean =>
      alertEvents.some(({ alertId, type }) => alertId === id && type !== 'taken up');
    for (const story of goingOn([...this.#stories.values()], this.#open(), nowMs)) {
      if (isNew(story.alert.id)) continue;
      this.#stories.set(story.alert.id, story);
      this.#isChanged = true;
    }
    this.#open = undefined;
  }

  #wording({ panel, nowMs, utcOffsetMs = 0 }: TellingNow): Wording {
    if (utcOffsetMs !== this.#offsetMs) {
      this.#offsetMs = utcOffsetMs;
      this.#time = new LocalTime(this.#settings.timeZone, utcOffsetMs);
    }
    return { panel, time: this.#time, nowMs };
  }

  #note(event: AlertEvent): void {
    this.#tally.note(event);
    const { alertId, type, alert } = event;
    const before = this.#stories.get(alertId);
    const story = afterEvent(before, event);
    if (story) this.#stories.set(alertId, story);
    else this.#stories.delete(alertId);
    // What was repeated because nobody acknowledged needs no repeating any more.
    if (before && (type === 'acknowledged' || !story || !isStanding(alert)))
      this.#withdraw(story ?? before);
    const cause = type === 'folded' && alert.ended?.cause;
    const teller = cause ? this.#stories.get(cause) : undefined;
    if (before && teller) this.#stories.set(teller.alert.id, handOver(before, teller));
  }

  #withdraw(story: Story): void {
    for (const knowing of Object.values(story.people)) {
      this.#withdrawn.push(...knowing.repeatKeys);
      knowing.repeatKeys = [];
    }
  }

  /** Works out what everybody is to be told of one alert. */
  #owe(story: Story, { nowMs, mode, panel }: TellingNow): void {
    if (isStanding(story.alert)) {
      const liveSinceMs = liveSince(story, panel, nowMs);
      if (liveSinceMs !== story.liveSinceMs) this.#isChanged = true;
      story.liveSinceMs = liveSinceMs;
    }
    for (const [id, contact] of this.#contacts) {
      const knowing: Knowing = story.people[id] ?? nothingKnown();
      const next = nextOwed(knowing, story, hears(contact, story, mode), nowMs);
      if (next === 'dropped' && isWorthCounting(knowing, story, nowMs)) {
        const sent = this.#sentTo(id);
        sent.unsaid = [...sent.unsaid, story.alert.priority];
      }
      const owed = next === 'dropped' ? null : next;
      if (owed === knowing.owed) continue;
      this.#isChanged = true;
      story.people[id] = { ...knowing, owed };
    }
  }

  /** All that a person is to be told goes into one letter, once anything of it is due. */
  #write(id: string, contact: Contact, wording: Wording): Letter[] {
    const { nowMs, time } = wording;
    const sleeps =
      contact.quiet !== undefined && isBetween(time.at(nowMs).minuteOfDay, contact.quiet);
    const items: Item[] = [];
    let isDue = false;
    for (const story of this.#stories.values()) {
      const { owed, told } = story.people[id] ?? {};
      if (!owed) continue;
      const priority = mostUrgent([told?.priority ?? 'caution'], story.alert.priority);
      if (sleeps && maySleep(priority)) continue;
      items.push({ story, why: owed.why, seq: owed.seq, priority });
      if (nowMs - owed.sinceMs >= GROUPING_MS[priority]) isDue = true;
    }
    if (!isDue) return [];
    const sent = this.#sentTo(id);
    const isEmergency = items.some(
      ({ story, why }) => why !== 'over' && story.alert.priority === 'emergency alarm',
    );
    if (!isEmergency && !mayWrite(sent, nowMs)) return [];
    const letters = lettersOf(items, this.#to(id, contact), wording, sent.unsaid);
    noteWritten(sent, nowMs);
    sent.unsaid = [];
    for (const item of items) this.#noteTold(id, item, nowMs, items.length === 1 ? letters : []);
    this.#isChanged = true;
    return letters;
  }

  #noteTold(id: string, { story, why }: Item, nowMs: number, alone: readonly Letter[]): void {
    const before = story.people[id];
    if (story.overAtMs !== null) {
      this.#withdrawn.push(...(before?.repeatKeys ?? []));
      story.people[id] = nothingKnown();
      return;
    }
    const repeats = (before?.told?.repeats ?? 0) + (why === 'again' ? 1 : 0);
    const keys = why === 'again' ? alone.map(({ key }) => key) : [];
    story.people[id] = {
      ...before,
      owed: null,
      told: { priority: story.alert.priority, atMs: nowMs, repeats },
      repeatKeys: [...(before?.repeatKeys ?? []), ...keys],
    };
  }

  #writeSummary(id: string, contact: Contact, wording: Wording): Letter[] {
    const sent = this.#sentTo(id);
    const due = summaryDue(contact, sent, wording.time, wording.nowMs);
    if (!due || !mayWrite(sent, wording.nowMs)) return [];
    if (due.kind === 'morning line') sent.morningLine = due.date;
    else sent.weekly = due.date;
    noteWritten(sent, wording.nowMs);
    this.#isChanged = true;
    return summaryLetters(due, this.#to(id, contact), wording, this.#tally, this.#standing());
  }

  /** Alerts that hold and are not put away, the most urgent first. */
  #standing(): ToldAlert[] {
    return [...this.#stories.values()]
      .filter(({ alert }) => isStanding(alert) && !isMuted(alert))
      .map(({ alert: { id, priority, title, sinceMs } }) => ({
        alertId: id,
        priority,
        title,
        sinceMs,
        overAtMs: null,
      }))
      .sort((a, b) => byUrgency(a.priority, b.priority) || a.sinceMs - b.sinceMs);
  }

  #to(contact: string, { ways }: Contact): Addressed {
    return { boat: this.#boat, contact, ways };
  }

  #sentTo(id: string): Sent {
    let sent = this.#sent.get(id);
    if (!sent) this.#sent.set(id, (sent = nothingSent()));
    return sent;
  }
}

/** Over, and nobody is to hear of it any more. */
const isDone = ({ alert, people }: Story): boolean =>
  !isStanding(alert) &&
  Object.values(people).every(({ owed, told, hearsTheEnd }) => !owed && !told && !hearsTheEnd);

/** It waited for longer than for its siblings: somebody slept, or had had enough letters. */
const isWorthCounting = ({ owed }: Knowing, { alert }: Story, nowMs: number): boolean =>
  owed !== null && nowMs - owed.sinceMs > GROUPING_MS[alert.priority];
