/** Shore power goes at random times on a bad sensor network; every loss has to be told, and soon. */
import type { TimedAction } from '../../simulator/action.ts';
import { createRandom } from '../../simulator/random.ts';
import { HARSH_SENSORS } from '../../simulator/sensors/sensor-faults.ts';
import type { Letter } from '../../rules/index.ts';
import { sablePlover, shipFor } from '../simulator/demo-boats.ts';
import { INLET } from './cases/at-the-dock.ts';
import { letterBox, lettersText } from './letter-box.ts';
import { runFast, START_MS } from './run-fast.ts';
import type { Told } from './run-fast.ts';

export interface ShoreLosses {
  losses: number;
  found: number;
  /** From the true loss to the alert, seconds, in order of size. */
  delaysSeconds: number[];
  /** Shore losses that were told though there was none. */
  falseLosses: number;
  missed: string[];
  /** How many letters the owner got of each loss, nobody acknowledging: from it until the next. */
  lettersEach: number[];
  /** Those of losses with fewer than two or more than three. */
  odd: string[];
}

/** Lost, still not acknowledged, back. */
const isUsual = (letters: number): boolean => letters === 2 || letters === 3;

/** `losses` in a row, each of 3 to 20 minutes, 20 to 50 minutes apart. */
export function playLosses(seed: number, losses: number): ShoreLosses {
  const random = createRandom(seed, 'truth', 'shore losses');
  const outages: { fromSeconds: number; toSeconds: number }[] = [];
  let second = 0;
  for (let loss = 0; loss < losses; loss += 1) {
    const fromSeconds = Math.round(second + random.between(1200, 3000));
    const toSeconds = Math.round(fromSeconds + random.between(180, 1200));
    outages.push({ fromSeconds, toSeconds });
    second = toSeconds;
  }
  const pedestal = (atSeconds: number, power: 'on' | 'off'): TimedAction => ({
    atMs: atSeconds * 1000,
    action: { do: 'pedestal', inlet: INLET, power },
  });
  const minutes = Math.ceil(second / 60) + 15;
  const box = letterBox('Sable Plover');
  const told = runFast({
    boat: sablePlover,
    ship: shipFor(sablePlover),
    scenario: {
      name: 'shore-losses',
      title: '',
      tells: '',
      startsAt: `${String(Math.floor(random.between(0, 24))).padStart(2, '0')}:00`,
      minutes,
      crew: 'calm',
      settleMinutes: 60,
      script: outages.flatMap(({ fromSeconds, toSeconds }) => [
        pedestal(fromSeconds, 'off'),
        pedestal(toSeconds, 'on'),
      ]),
    },
    seed,
    faults: HARSH_SENSORS,
    evaluateEveryMs: 1000,
    untilMs: minutes * 60_000,
    look: box.look,
  });
  return { ...judge(seed, outages, told), ...judgeLetters(seed, outages, box.letters) };
}

function judgeLetters(
  seed: number,
  outages: readonly { fromSeconds: number }[],
  letters: readonly Letter[],
): Pick<ShoreLosses, 'lettersEach' | 'odd'> {
  const own = outages.map(({ fromSeconds }, at) => {
    const untilSeconds = outages[at + 1]?.fromSeconds ?? Infinity;
    return letters.filter(({ writtenAtMs }) => {
      const atSeconds = (writtenAtMs - START_MS) / 1000;
      return atSeconds >= fromSeconds && atSeconds < untilSeconds;
    });
  });
  return {
    lettersEach: own.map(({ length }) => length),
    odd: own.flatMap((some, at) =>
      isUsual(some.length)
        ? []
        : [`seed ${seed}, loss ${at + 1}: ${some.length}`].concat(lettersText(some, START_MS)),
    ),
  };
}

function judge(
  seed: number,
  outages: readonly { fromSeconds: number; toSeconds: number }[],
  told: readonly Told[],
): Omit<ShoreLosses, 'lettersEach' | 'odd'> {
  const raised = told.filter(
    ({ type, event }) => type === 'raised' && event.alert.rule === 'shore-power-lost',
  );
  const during = (from: number, to: number): Told | undefined =>
    raised.find(({ atSeconds }) => atSeconds >= from && atSeconds <= to);
  const delays = outages.map(({ fromSeconds, toSeconds }) => {
    const first = during(fromSeconds, toSeconds + 5);
    return first === undefined ? null : first.atSeconds - fromSeconds;
  });
  const isTrue = (atSeconds: number): boolean =>
    outages.some((own) => atSeconds >= own.fromSeconds && atSeconds <= own.toSeconds + 5);
  const found = delays.filter((delay) => delay !== null);
  return {
    losses: outages.length,
    found: found.length,
    delaysSeconds: found.toSorted((a, b) => a - b),
    falseLosses: raised.filter(({ atSeconds }) => !isTrue(atSeconds)).length,
    missed: outages.flatMap(({ fromSeconds, toSeconds }, at) =>
      delays[at] === null ? [`seed ${seed}: from ${fromSeconds} to ${toSeconds} s`] : [],
    ),
  };
}

export function addLosses(parts: readonly ShoreLosses[]): ShoreLosses {
  const sum = (of: (own: ShoreLosses) => number): number =>
    parts.reduce((total, own) => total + of(own), 0);
  return {
    losses: sum((own) => own.losses),
    found: sum((own) => own.found),
    delaysSeconds: parts.flatMap((own) => own.delaysSeconds).sort((a, b) => a - b),
    falseLosses: sum((own) => own.falseLosses),
    missed: parts.flatMap((own) => own.missed),
    lettersEach: parts.flatMap((own) => own.lettersEach),
    odd: parts.flatMap((own) => own.odd),
  };
}

/** `2 letters 5 times, 3 letters 195 times` */
function countsOf(numbers: readonly number[]): string {
  const counts = new Map<number, number>();
  for (const own of numbers) counts.set(own, (counts.get(own) ?? 0) + 1);
  return [...counts]
    .sort(([a], [b]) => a - b)
    .map(([letters, times]) => `${letters} letters ${times} times`)
    .join(', ');
}

export const medianOf = (sorted: readonly number[]): number | null =>
  sorted[Math.floor(sorted.length / 2)] ?? null;

export function lossesText(own: ShoreLosses): string {
  return [
    `${own.losses} shore losses at random times: ${own.found} found`,
    `  delay: median ${String(medianOf(own.delaysSeconds))} s (goal 5 s), worst ${String(own.delaysSeconds.at(-1) ?? null)} s`,
    `  told though there was none: ${own.falseLosses}`,
    `  letters of each, nobody acknowledging: ${countsOf(own.lettersEach)} (goal 2 or 3)`,
    ...own.odd.map((odd) => `    ODD  ${odd}`),
    ...own.missed.map((missed) => `    MISSED  ${missed}`),
  ].join('\n');
}
