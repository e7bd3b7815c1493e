/** Days on which nothing is wrong but the sensors' network, and everything that was said all the same. */
import type { Priority } from '../../rules/index.ts';
import { scenarioNamed } from '../../simulator/scenarios/index.ts';
import { HARSH_SENSORS } from '../../simulator/sensors/sensor-faults.ts';
import { sablePlover, shipFor, willowDipper } from '../simulator/demo-boats.ts';
import { addScore, noScore, PositionJudge, scoreText } from './positions.ts';
import type { PositionScore } from './positions.ts';
import { letterBox, lettersText } from './letter-box.ts';
import { runFast, speakingEvery, START_MS } from './run-fast.ts';
import type { Told } from './run-fast.ts';
import { isAtLeast } from './truth-case.ts';

export interface HealthyDays {
  days: number;
  /** Raised alerts by rule and priority. */
  raised: Record<string, number>;
  falseShoreLosses: number;
  emergencies: number;
  /** Warnings and worse: what would leave the boat. */
  leaving: number;
  /** What the owner got. */
  letters: number;
  letterExamples: string[];
  /** First look at each of those that should not be. */
  examples: string[];
  positions: PositionScore;
}

const DAY_MS = 86_400_000;
/** Sensors that speak every ten seconds, judged every ten: so a year takes an hour, not a day. */
const EVERY_MS = 10_000;
/** A reading counts as fresh for three intervals, so that long what was turned may not be read yet. */
const SETTLED_MS = 3 * EVERY_MS + 5000;
const MOST_EXAMPLES = 40;

/** Days in a row on one boat. */
export function playHealthy(
  boatName: 'sable-plover' | 'willow-dipper',
  seed: number,
  days: number,
): HealthyDays {
  const plain = boatName === 'sable-plover' ? sablePlover : willowDipper;
  const name = boatName === 'sable-plover' ? 'quiet-day' : 'quiet-day-canal';
  const scenario = scenarioNamed(name);
  if (scenario === undefined) throw new Error(`no scenario ${name}`);
  const boat = speakingEvery(plain, EVERY_MS);
  const judge = new PositionJudge(`${boatName}, seed ${seed}`, SETTLED_MS);
  const box = letterBox(plain.name);
  const told = runFast({
    boat,
    ship: shipFor(plain),
    scenario,
    seed,
    faults: HARSH_SENSORS,
    evaluateEveryMs: EVERY_MS,
    untilMs: days * DAY_MS,
    look: (look) => {
      judge.look(look.atMs, look.panel, () => look.simulation.truth());
      box.look(look);
    },
  });
  return {
    ...tally(told, `${boatName}, seed ${seed}`, days),
    letters: box.letters.length,
    letterExamples: lettersText(box.letters, START_MS),
    positions: judge.score,
  };
}

type Tally = Omit<HealthyDays, 'positions' | 'letters' | 'letterExamples'>;

function tally(told: readonly Told[], where: string, days: number): Tally {
  const raised: Record<string, number> = {};
  const examples: string[] = [];
  let [falseShoreLosses, emergencies, leaving] = [0, 0, 0];
  const seen = new Set<string>();
  for (const { type, key, atSeconds, event } of told) {
    const { rule, priority, title } = event.alert;
    if (type !== 'raised' && type !== 'priority changed') continue;
    if (type === 'raised') count(raised, rule, priority);
    if (type === 'raised' && rule === 'shore-power-lost') falseShoreLosses += 1;
    if (priority === 'emergency alarm') emergencies += 1;
    if (!isAtLeast(priority, 'warning')) continue;
    if (type === 'raised') leaving += 1;
    if (seen.has(key)) continue;
    seen.add(key);
    examples.push(`${where}, day ${Math.floor(atSeconds / 86_400)}, ${atSeconds} s: ${title}`);
  }
  return { days, raised, falseShoreLosses, emergencies, leaving, examples };
}

function count(raised: Record<string, number>, rule: string, priority: Priority): void {
  const name = `${rule} (${priority})`;
  raised[name] = (raised[name] ?? 0) + 1;
}

export function addHealthy(parts: readonly HealthyDays[]): HealthyDays {
  const sum: HealthyDays = {
    days: 0,
    raised: {},
    falseShoreLosses: 0,
    emergencies: 0,
    leaving: 0,
    letters: 0,
    letterExamples: [],
    examples: [],
    positions: noScore(),
  };
  for (const part of parts) {
    sum.days += part.days;
    sum.falseShoreLosses += part.falseShoreLosses;
    sum.emergencies += part.emergencies;
    sum.leaving += part.leaving;
    sum.letters += part.letters;
    sum.letterExamples = [...sum.letterExamples, ...part.letterExamples].slice(0, MOST_EXAMPLES);
    for (const [name, times] of Object.entries(part.raised)) {
      sum.raised[name] = (sum.raised[name] ?? 0) + times;
    }
    sum.examples = [...sum.examples, ...part.examples].slice(0, MOST_EXAMPLES);
    addScore(sum.positions, part.positions);
  }
  return sum;
}

export function healthyText(own: HealthyDays): string {
  const lines = Object.entries(own.raised)
    .sort(([, a], [, b]) => b - a)
    .map(([name, times]) => `    ${String(times).padStart(6)}  ${name}`);
  return [
    `${own.days} healthy days with sensor faults`,
    `  false shore losses: ${own.falseShoreLosses} (goal 0)`,
    `  emergency alarms: ${own.emergencies} (goal 0)`,
    `  warnings and worse, which would leave the boat: ${own.leaving} (goal ${((own.days * 52) / 365).toFixed(1)})`,
    `  letters that the owner got: ${own.letters} (goal ${(own.days / 7).toFixed(1)}, one a week)`,
    ...own.letterExamples,
    '  raised, by rule:',
    ...lines,
    ...own.examples.map((example) => `    FALSE  ${example}`),
    scoreText(own.positions),
  ].join('\n');
}
