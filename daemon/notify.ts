/**
 * `panelward notify --test`: a marked message by each way of the settings, at once and past the outbox,
 * so that it can be tried while the daemon runs on the same folder.
 */
import type { Clock } from './clock.ts';
import { openWays, type StateWay } from './delivery/open-ways.ts';
import { StateTeller } from './delivery/state-teller.ts';
import { testLetter } from './delivery/test-letter.ts';
import type { Outcome, Way } from './delivery/way.ts';
import type { OpenedSettings } from './settings/open-settings.ts';
import { subscriptionsIn } from './store/store.ts';

export interface NotifyTest extends OpenedSettings {
  boatName: string;
  dataFolder: string;
  /** Only this way; null: all. */
  only: string | null;
  /** Where the sensors' broker is, `mqtt://host:port`. */
  brokerUrl: string;
  clock: Clock;
}

interface Try {
  name: string;
  outcome: Promise<Outcome>;
}

const WHOLE_TRY_MS = 20_000;

/** Says of each way what came of it; true if all went well. */
export async function testWays(test: NotifyTest, say: (line: string) => void): Promise<boolean> {
  const { secrets, dataFolder, only, clock } = test;
  const all = Object.entries(test.settings.ways);
  const asked = all.filter(([id]) => only === null || id === only);
  if (asked.length === 0) {
    say(
      all.length === 0
        ? 'The settings name no way out: nobody is told of anything but on the page.'
        : `No way out is called "${only}"; there are: ${all.map(([id]) => id).join(', ')}.`,
    );
    return false;
  }
  const opened = openWays({
    ways: Object.fromEntries(asked),
    secrets,
    dataFolder,
    brokerUrl: () => test.brokerUrl,
    utcNowMs: () => clock.nowMs(),
    isClockTrusted: () => true,
    subscriptions: () => subscriptionsIn(dataFolder),
    // The daemon forgets it when it comes upon it: the record is its own.
    onGone: () => {},
  });
  if ('problems' in opened) {
    for (const problem of opened.problems) say(problem);
    return false;
  }
  const tries = [
    ...opened.ways.flatMap((way) => lettersBy(way, test)),
    ...opened.stateWays.map((way) => stateBy(way, clock)),
  ];
  const outcomes = await Promise.all(
    tries.map(async ({ name, outcome }): Promise<[string, Outcome]> => [name, await outcome]),
  );
  for (const [name, outcome] of outcomes) say(sentenceOf(name, outcome));
  return outcomes.every(([, outcome]) => 'answer' in outcome);
}

/** One for each contact who names the way, or one to nobody in particular. */
function lettersBy(way: Way, { boatName, settings, clock }: NotifyTest): Try[] {
  const { contacts } = settings.telling;
  const named = Object.keys(contacts).filter((id) => contacts[id]?.ways.includes(way.id));
  return (named.length === 0 ? [''] : named).map((contact) => {
    const letter = testLetter({ boatName, contact, way: way.id, nowMs: clock.nowMs() });
    const name = contact === '' ? way.id : `${way.id}, for ${contact}`;
    return { name, outcome: way.send(letter, AbortSignal.timeout(WHOLE_TRY_MS)) };
  });
}

function stateBy(way: StateWay, clock: Clock): Try {
  const teller = new StateTeller({
    way,
    alerts: () => [],
    clock,
    linkClock: clock,
    random: () => 0,
    utcNowMs: () => clock.nowMs(),
  });
  return { name: way.id, outcome: teller.test() };
}

function sentenceOf(name: string, outcome: Outcome): string {
  if ('answer' in outcome) return `${name}: it has gone; the other end says: ${outcome.answer}`;
  const again = outcome.isFinal ? 'Trying again is of no use.' : 'It may work later.';
  return `${name}: it has NOT gone: ${outcome.problem}. ${again}`;
}
