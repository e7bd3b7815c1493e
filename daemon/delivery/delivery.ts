/** Everything that tells somebody outside of the page: letters, what stands, and tests of both. */
import type { Alert, Letter } from '../../rules/index.ts';
import type { OpenWays } from './open-ways.ts';
import { StateTeller } from './state-teller.ts';
import { testLetter } from './test-letter.ts';
import { never, type Outcome } from './way.ts';
import { silenceOf, Worker, type WorkerOptions, type WayState } from './worker.ts';

export interface DeliveryOptions extends Omit<WorkerOptions, 'ways'> {
  opened: OpenWays;
  boatName: string;
  /** Contacts by id, with the ways that they name. */
  contacts: Readonly<Record<string, { ways: readonly string[] }>>;
  alerts: () => readonly Alert[];
  utcNowMs: () => number;
}

export interface Delivery {
  /** Letters may have been written, or alerts changed. */
  look(): void;
  /** Something outside was reached: ways that wait after a failure try soon. */
  networkIsBack(): void;
  /** In the order of the settings. */
  ways(): WayState[];
  /** Whole sentences for the health page. */
  problems(): string[];
  /** Sends a marked test by one way, now; null: no way of that id. */
  test(id: string): Promise<Outcome | null>;
  /** For browsers that want to be told; null: no way is by push. */
  readonly pushKey: string | null;
  stop(): Promise<void>;
}

const LOOK_EVERY_MS = 1000;

export function startDelivery(options: DeliveryOptions): Delivery {
  const { opened, clock, linkClock = clock } = options;
  const worker = new Worker({ ...options, ways: opened.ways });
  const tellers = opened.stateWays.map((way) => new StateTeller({ ...options, linkClock, way }));
  const look = (): void => {
    worker.look();
    for (const teller of tellers) teller.look();
  };
  worker.start();
  const stopLooking = clock.every(LOOK_EVERY_MS, () => {
    for (const teller of tellers) teller.look();
  });
  return {
    look,
    networkIsBack: () => worker.networkIsBack(),
    ways: () => [...worker.states(), ...tellers.map(stateOf)],
    problems: () => [
      ...worker.problems(),
      ...tellers.flatMap((teller) => silenceOf(teller, clock.nowMs())),
    ],
    async test(id) {
      const teller = tellers.find(({ way }) => way.id === id);
      if (teller !== undefined) return await teller.test();
      if (!opened.ways.some((way) => way.id === id)) return null;
      return await worst(testLettersOf(id, options).map((letter) => worker.sendNow(letter)));
    },
    pushKey: opened.pushKeys?.publicKey ?? null,
    async stop() {
      stopLooking();
      await Promise.all([worker.stop(), ...tellers.map((teller) => teller.stop())]);
    },
  };
}

/** One for each contact who names the way, or one to nobody in particular. */
function testLettersOf(way: string, { boatName, contacts, clock }: DeliveryOptions): Letter[] {
  const named = Object.entries(contacts).flatMap(([contact, { ways }]) =>
    ways.includes(way) ? [contact] : [],
  );
  const all = named.length === 0 ? [''] : named;
  return all.map((contact) => testLetter({ boatName, contact, way, nowMs: clock.nowMs() }));
}

/** What went wrong first, or what was answered. */
async function worst(tries: readonly Promise<Outcome>[]): Promise<Outcome> {
  const outcomes = await Promise.all(tries);
  return outcomes.find((outcome) => 'problem' in outcome) ?? outcomes[0] ?? never('nobody to tell');
}

function stateOf(teller: StateTeller): WayState {
  const { way, lastSentAtMs, lastTriedAtMs, lastProblem, failingSinceMs } = teller;
  return {
    id: way.id,
    kind: way.kind,
    waiting: 0,
    givenUp: 0,
    lastSentAtMs,
    lastAnswer: null,
    lastTriedAtMs,
    lastProblem,
    failingSinceMs,
  };
}
