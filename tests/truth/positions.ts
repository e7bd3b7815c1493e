/** Where the switches truly stand and what feeds what, against what the panel state says of it. */
import type { BusState, PanelState } from '../../rules/index.ts';
import type { Truth } from '../../simulator/truth.ts';

export interface PositionScore {
  /** Minutes of buses with more than 3 A on a leg. */
  minutes: number;
  /** Of those: the source that feeds the bus is named, and it is the one. */
  feedsRight: number;
  /** Of those: so is every selector and main switch on the way to it. */
  positionsRight: number;
  /** Minutes of anything, current or none, where something false was said to be known. */
  sureAndWrong: number;
  /** The first few of them. */
  wrongs: string[];
}

export const noScore = (): PositionScore => ({
  minutes: 0,
  feedsRight: 0,
  positionsRight: 0,
  sureAndWrong: 0,
  wrongs: [],
});

const LEAST_AMPS = 3;
const MOST_WRONGS = 10;

/** Looks once a minute; the truth must have stood still for some seconds before. */
export class PositionJudge {
  readonly score = noScore();
  readonly #name: string;
  readonly #settledMs: number;
  #stoodSinceMs = 0;
  #standing = '';

  /** What was turned less than `settledMs` ago may not have been read yet; at most a minute. */
  constructor(name: string, settledMs = 5000) {
    this.#name = name;
    this.#settledMs = settledMs;
  }

  look(atMs: number, panel: PanelState, truth: () => Truth): void {
    const isMinute = atMs % 60_000 === 0;
    // Taking the truth down costs more than looking at it, so only around the minute.
    if (atMs % 60_000 < 60_000 - this.#settledMs && !isMinute) return;
    const now = truth();
    const standing = JSON.stringify([[...now.selectors], [...now.mainSwitches]]);
    if (standing !== this.#standing) {
      this.#standing = standing;
      this.#stoodSinceMs = atMs;
    }
    if (isMinute && atMs - this.#stoodSinceMs >= this.#settledMs) this.#judge(atMs, panel, now);
  }

  #judge(atMs: number, panel: PanelState, truth: Truth): void {
    const wrongs = [...wrongFeeds(panel, truth), ...wrongPositions(panel, truth)];
    if (wrongs.length > 0) {
      this.score.sureAndWrong += 1;
      if (this.score.wrongs.length < MOST_WRONGS) {
        this.score.wrongs.push(`${this.#name} at ${atMs / 1000} s: ${wrongs.join('; ')}`);
      }
    }
    for (const bus of panel.buses) {
      const actual = truth.buses.get(bus.id);
      if (bus.system !== 'ac' || actual === undefined) continue;
      if (Math.max(...actual.legs.map(({ amps }) => amps)) <= LEAST_AMPS) continue;
      const isFeedRight = bus.fedByIsKnown && bus.fedBy === actual.fedBy;
      this.score.minutes += 1;
      if (isFeedRight) this.score.feedsRight += 1;
      if (isFeedRight && isWayKnown(panel, bus)) this.score.positionsRight += 1;
    }
  }
}

function wrongFeeds(panel: PanelState, truth: Truth): string[] {
  return panel.buses.flatMap(({ id, fedBy, fedByIsKnown }) => {
    const actual = truth.buses.get(id)?.fedBy;
    if (!fedByIsKnown || actual === undefined || fedBy === actual) return [];
    // A bus joined to a source that is dead is fed by nothing, whichever way one says it.
    const isDead = truth.buses.get(id)?.legs.every(({ volts }) => volts < 1) === true;
    if (isDead && (fedBy === null || actual === null)) return [];
    return [`${id} said to be fed by ${String(fedBy)}, truly by ${String(actual)}`];
  });
}

function wrongPositions(panel: PanelState, truth: Truth): string[] {
  const selectors = panel.selectors.flatMap(({ id, position }) => {
    const actual = truth.selectors.get(id) ?? null;
    if (position === null || actual === null || position === actual) return [];
    return [`${id} said to stand at ${position}, truly at ${actual}`];
  });
  const switches = panel.mainSwitches.flatMap(({ id, position }) => {
    const actual = truth.mainSwitches.get(id);
    const isOpen = position !== 'closed';
    if (position === 'unknown' || actual === undefined) return [];
    return isOpen === (actual !== 'closed')
      ? []
      : [`${id} said to be ${position}, truly ${actual}`];
  });
  return [...selectors, ...switches];
}

/** Every selector and main switch between the bus and its source is known to pass it on. */
function isWayKnown(panel: PanelState, bus: BusState): boolean {
  let from: string | null = bus.from;
  while (from !== null && from !== bus.fedBy) {
    const here: string = from;
    const selector = panel.selectors.find(({ id }) => id === here);
    const main = panel.mainSwitches.find(({ id }) => id === here);
    if (selector !== undefined) {
      const { position, positions } = selector;
      from = positions.find(({ name }) => name === position)?.from ?? null;
    } else from = main?.position === 'closed' ? main.from : null;
  }
  return from !== null;
}

/** Adds the second to the first. */
export function addScore(to: PositionScore, own: PositionScore): void {
  to.minutes += own.minutes;
  to.feedsRight += own.feedsRight;
  to.positionsRight += own.positionsRight;
  to.sureAndWrong += own.sureAndWrong;
  to.wrongs = [...to.wrongs, ...own.wrongs].slice(0, MOST_WRONGS);
}

export function scoreText(score: PositionScore): string {
  const percent = (part: number): string =>
    score.minutes === 0 ? 'never' : `${((100 * part) / score.minutes).toFixed(2)} %`;
  return [
    `minutes of a bus with more than 3 A: ${score.minutes}`,
    `  its source named rightly: ${percent(score.feedsRight)} (goal 95 %)`,
    `  and every switch on the way: ${percent(score.positionsRight)}`,
    `minutes in which something false was said to be known: ${score.sureAndWrong} (goal 0)`,
    ...score.wrongs.map((own) => `    WRONG  ${own}`),
  ].join('\n');
}
