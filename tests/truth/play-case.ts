/** Plays one case with one seed, and all its seeds to one row of the table. */
import type { Boat } from '../../rules/index.ts';
import { createRandom } from '../../simulator/random.ts';
import { EVERYDAY_SENSORS } from '../../simulator/sensors/sensor-faults.ts';
import { sablePlover, shipFor, willowDipper } from '../simulator/demo-boats.ts';
import { letterBox } from './letter-box.ts';
import { runFast, speakingEvery, START_MS } from './run-fast.ts';
import type { Told, WatchStep } from './run-fast.ts';
import { hasRule } from './truth-case.ts';
import type { Expectation, Outcome, Played, TruthCase } from './truth-case.ts';

export interface PlayedCase extends Played {
  outcomes: readonly { what: string; canJudge: boolean; outcome: Outcome }[];
  /** Raised, and nothing of this case's. */
  falseAlerts: readonly Told[];
}

export function playCase(own: TruthCase, seed: number): PlayedCase {
  const boat = boatOf(own);
  const looseSeconds = Math.round(
    createRandom(seed, 'truth', own.id).between(0, own.looseSeconds ?? 60),
  );
  const looseMs = looseSeconds * 1000;
  const moments = new Map<string, number>();
  const panelEvents: { atSeconds: number; event: Played['panelEvents'][number]['event'] }[] = [];
  const script = own.script.map(({ atMs, action }) => ({ atMs: atMs + looseMs, action }));
  const box = letterBox(boat.name);
  const described = own.describes?.(boat);
  const told = runFast({
    boat,
    ...(described === undefined ? {} : { described }),
    ship: shipFor(boat),
    scenario: {
      name: own.id,
      title: own.title,
      tells: '',
      startsAt: own.startsAt,
      minutes: own.minutes,
      crew: own.crew ?? 'away',
      settleMinutes: own.settleMinutes ?? 60,
      script,
      ...(own.setUp === undefined ? {} : { setUp: own.setUp }),
    },
    seed,
    faults: own.faults ?? EVERYDAY_SENSORS,
    evaluateEveryMs: own.evaluateEveryMs ?? 1000,
    untilMs: own.minutes * 60_000,
    steps: stepsOf(own, looseMs),
    look: (look) => {
      for (const event of look.panelEvents) {
        panelEvents.push({ atSeconds: (event.atMs - START_MS) / 1000, event });
      }
      box.look(look);
      own.look?.(look, moments);
    },
  });
  const { letters } = box;
  const played: Played = { told, panelEvents, letters, moments, looseSeconds };
  const outcomes = own.must.map((expectation) => judged(expectation, played));
  const falseAlerts = told.filter(
    ({ type, event }) => type === 'raised' && !own.belongs.test(event.alert.rule),
  );
  return { ...played, outcomes, falseAlerts };
}

function boatOf(own: TruthCase): Boat {
  const plain = own.boat === 'willow-dipper' ? willowDipper : sablePlover;
  const boat = own.changeBoat?.(plain) ?? plain;
  return own.sensorsEveryMs === undefined ? boat : speakingEvery(boat, own.sensorsEveryMs);
}

function stepsOf(own: TruthCase, looseMs: number): WatchStep[] {
  const { mode = (own.crew ?? 'away') === 'away' ? 'away' : 'aboard', steps = [] } = own;
  const beginning: WatchStep = {
    atMs: 0,
    act: (watch, nowMs) => void watch.setMode(mode, null, 'truth', nowMs),
  };
  const later = steps.map(({ atMs, act }) => ({ atMs: atMs + looseMs, act }));
  return mode === 'aboard' ? later : [beginning, ...later];
}

function judged(expectation: Expectation, played: Played): PlayedCase['outcomes'][number] {
  const { what, needs, judge } = expectation;
  return { what, canJudge: hasRule(needs), outcome: judge(played) };
}
