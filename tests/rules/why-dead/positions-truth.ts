/**
 * The truth of a boat's supply, followed link by link in the boat file by plain lines of its own,
 * and every combination of positions and of live and dead sources to hold answers against.
 */
import { readFileSync } from 'node:fs';
import { createWatch, readBoat, whyDead } from '../../../rules/index.ts';
import type { Boat, PanelState, PartId, Point, WhyDead } from '../../../rules/index.ts';

export function loadDemo(name: string): Boat {
  const url = new URL(`../../../simulator/boats/${name}.yaml`, import.meta.url);
  const { boat } = readBoat(readFileSync(url, 'utf8'), name);
  if (!boat) throw new Error(`${name} is not usable`);
  return boat;
}

export interface Truth {
  /** Position of each selector, `closed` or `open` of each main switch. */
  positions: ReadonlyMap<PartId, string>;
  /** Sources and batteries with voltage. */
  live: ReadonlySet<PartId>;
}

/** The first broken link counted from the source, or null where the chain is whole. */
export function firstBreak(boat: Boat, truth: Truth, id: PartId): PartId | null {
  const part = boat.parts.get(id);
  const position = truth.positions.get(id) ?? '';
  if (part?.part === 'source' || part?.part === 'battery') return truth.live.has(id) ? null : id;
  if (part?.part === 'circuit') return firstBreak(boat, truth, part.bus);
  if (part?.part === 'bus') return firstBreak(boat, truth, part.from);
  if (part?.part === 'main switch') {
    return firstBreak(boat, truth, part.from) ?? (position === 'closed' ? null : id);
  }
  const from = part?.positions.get(position) ?? null;
  return from === null ? id : firstBreak(boat, truth, from);
}

/** Amperes each live circuit draws: enough to count as drawing, different for each. */
const drawn = (boat: Boat, id: PartId): number =>
  2 + 0.3 * boat.circuits.findIndex((circuit) => circuit.id === id);

/** Every third circuit is off at its own breaker, which no sensor of the demo boats sees. */
export const isOn = (boat: Boat, id: PartId): boolean =>
  boat.circuits.findIndex((circuit) => circuit.id === id) % 3 !== 0;

const circuitAmps = (boat: Boat, truth: Truth, id: PartId): number =>
  isOn(boat, id) && firstBreak(boat, truth, id) === null ? drawn(boat, id) : 0;

/** The source or battery that really feeds a bus; null where the chain is broken. */
function feederOf(boat: Boat, truth: Truth, id: PartId): PartId | null {
  if (firstBreak(boat, truth, id) !== null) return null;
  let at: PartId = id;
  for (;;) {
    const part = boat.parts.get(at);
    if (part?.part === 'bus' || part?.part === 'main switch') at = part.from;
    else if (part?.part === 'selector') {
      at = part.positions.get(truth.positions.get(at) ?? '') ?? at;
    } else return at;
  }
}

function ampsOn(boat: Boat, truth: Truth, point: Point): number {
  const part = boat.parts.get(point.of);
  const on = (leg: string | undefined, bus: (id: PartId) => boolean): number =>
    boat.circuits
      .filter((own) => bus(own.bus) && (leg === undefined || own.legs.includes(leg)))
      .reduce((total, own) => total + circuitAmps(boat, truth, own.id), 0);
  if (part?.part === 'circuit') return circuitAmps(boat, truth, part.id);
  if (part?.part === 'bus') return on(point.leg, (id) => id === part.id);
  if (part?.part !== 'source' || part.system === 'dc') return 0;
  return on(point.leg, (id) => feederOf(boat, truth, id) === part.id);
}

function valueOf(boat: Boat, truth: Truth, point: Point): number | string | null {
  const part = boat.parts.get(point.of);
  switch (point.quantity) {
    case 'volts':
      if (part?.part === 'battery') return part.volts;
      return firstBreak(boat, truth, point.of) === null ? (boat.ac?.volts ?? 0) : 0;
    case 'amps':
      return ampsOn(boat, truth, point);
    case 'switch':
    case 'position':
      return truth.positions.get(point.of) ?? null;
    default:
      return null;
  }
}

/** The panel that shows when every point but the silent ones has been read once. */
export function observe(
  boat: Boat,
  truth: Truth,
  silent: ReadonlySet<string> = new Set(),
  areStated = false,
): PanelState {
  const watch = createWatch(boat);
  if (areStated) {
    for (const [id, position] of truth.positions) watch.state(id, position, 'A reader', 500);
  }
  for (const point of boat.points.values()) {
    const value = silent.has(point.id) ? null : valueOf(boat, truth, point);
    if (value !== null) watch.take({ pointId: point.id, value, atMs: 1000 });
  }
  return watch.evaluate(1000).panel;
}

/** How many ways the switches can stand and the sources can be. */
export const truthCount = (boat: Boat): number =>
  [...boat.selectors, ...boat.mainSwitches].reduce(
    (product, own) => product * (own.part === 'selector' ? own.positions.size : 2),
    2 ** boat.sources.filter((own) => own.system === 'ac').length,
  );

export function truthAt(boat: Boat, index: number): Truth {
  let rest = index;
  const take = (many: number): number => {
    const digit = rest % many;
    rest = Math.floor(rest / many);
    return digit;
  };
  const positions = new Map<PartId, string>();
  for (const own of boat.selectors) {
    const names = [...own.positions.keys()];
    positions.set(own.id, names[take(names.length)] ?? '');
  }
  for (const own of boat.mainSwitches) positions.set(own.id, take(2) === 0 ? 'closed' : 'open');
  const live = new Set<PartId>(boat.batteries.map((own) => own.id));
  for (const own of boat.sources) if (own.system === 'ac' && take(2) === 1) live.add(own.id);
  return { positions, live };
}

export const asText = ({ positions, live }: Truth): string =>
  `${[...positions].map(([id, name]) => `${id}=${name}`).join(' ')} live: ${[...live].join(' ')}`;

/** What an answer claims that is not so; null where it claims nothing wrong. */
export function wrongClaim(boat: Boat, truth: Truth, answer: WhyDead): string | null {
  const really = firstBreak(boat, truth, answer.part);
  const wrong = (what: string): string =>
    `${answer.part}: ${what}, really ${really ?? 'whole'}: ${answer.sentence}`;
  switch (answer.verdict) {
    case 'reads voltage':
    case 'own breaker':
      return really === null ? null : wrong(answer.verdict);
    case 'broken':
      return really === answer.link ? null : wrong(`broken at ${answer.link}`);
    case 'not known': {
      const isNamed = really === null || answer.suspects.includes(really);
      const isSilent = answer.suspects.length === 0;
      return isNamed || isSilent ? null : wrong(`suspects only ${answer.suspects.join()}`);
    }
  }
}

export const answersOf = (boat: Boat, panel: PanelState): WhyDead[] =>
  [...boat.buses, ...boat.circuits].map((own) => {
    const answer = whyDead(boat, panel, own.id);
    if (!answer) throw new Error(`No answer for ${own.id}`);
    return answer;
  });

/** Sentences that speak as no sentence may. */
const FORBIDDEN = /\bdead\b|\bsafe\b|\bundefined\b|\bnull\b| {2}|\.\./;
export function badWords(answer: WhyDead): string[] {
  const told = [answer.sentence, answer.doThis, ...answer.also];
  const found = told.filter((own) => FORBIDDEN.test(own));
  if (!/^[A-Z].*\.$/s.test(answer.sentence)) found.push(`no sentence: ${answer.sentence}`);
  if (
    answer.doThis !== '' &&
    !answer.cautions.some((own) => own.includes('treat every conductor as live'))
  ) {
    found.push(`no caution: ${answer.doThis}`);
  }
  return found;
}

export interface Tally {
  asked: number;
  told: number;
  notKnown: number;
  wrong: string[];
}

/** Holds the answers of one panel against the truth. */
export function judge(boat: Boat, truth: Truth, panel: PanelState, tally: Tally): void {
  for (const answer of answersOf(boat, panel)) {
    const wrong = wrongClaim(boat, truth, answer);
    const bad = [...(wrong === null ? [] : [wrong]), ...badWords(answer)];
    tally.wrong.push(...bad.map((own) => `${own} [${asText(truth)}]`));
    tally.asked += 1;
    if (answer.verdict === 'broken') tally.told += 1;
    if (answer.verdict === 'not known') tally.notKnown += 1;
  }
}

export const newTally = (): Tally => ({ asked: 0, told: 0, notKnown: 0, wrong: [] });
