/**
 * Every combination of selector and main-switch positions and of live and dead sources, on both
 * demo boats: the panel state must never be sure and wrong. The truth is followed here by a few
 * plain lines of its own, not by the code under test.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createWatch, readBoat } from '../../../rules/index.ts';
import type { Boat, PanelState, PartId, Point } from '../../../rules/index.ts';

function load(name: string): Boat {
  const url = new URL(`../../../simulator/boats/${name}.yaml`, import.meta.url);
  const { boat } = readBoat(readFileSync(url, 'utf8'), name);
  if (!boat) throw new Error(`${name} is not usable`);
  return boat;
}

interface Truth {
  /** Position of each selector, `closed` or `open` of each main switch. */
  positions: Map<PartId, string>;
  live: Set<PartId>;
}

/** The source or battery that really feeds `id`, or null. */
function rootOf(boat: Boat, truth: Truth, id: PartId): PartId | null {
  const part = boat.parts.get(id);
  if (!part || part.part === 'source' || part.part === 'battery') return part?.id ?? null;
  if (part.part === 'circuit') return rootOf(boat, truth, part.bus);
  if (part.part === 'bus') return rootOf(boat, truth, part.from);
  const position = truth.positions.get(id) ?? '';
  if (part.part === 'main switch') {
    return position === 'closed' ? rootOf(boat, truth, part.from) : null;
  }
  const from = part.positions.get(position) ?? null;
  return from === null ? null : rootOf(boat, truth, from);
}

function isLive(boat: Boat, truth: Truth, id: PartId): boolean {
  const root = rootOf(boat, truth, id);
  return root !== null && truth.live.has(root);
}

/** Amperes each live bus draws; different for each, so that no two sources look alike by chance. */
const busAmps = (boat: Boat, id: PartId): number =>
  6 + 3 * boat.buses.findIndex((bus) => bus.id === id);

function valueOf(boat: Boat, truth: Truth, point: Point): number | string | null {
  const part = boat.parts.get(point.of);
  switch (point.quantity) {
    case 'volts': {
      if (part?.part === 'battery') return part.volts;
      return isLive(boat, truth, point.of) ? (boat.ac?.volts ?? 0) : 0;
    }
    case 'amps':
      if (part?.part === 'bus') return isLive(boat, truth, part.id) ? busAmps(boat, part.id) : 0;
      if (part?.part !== 'source' || part.system === 'dc') return 0;
      return boat.buses
        .filter((bus) => rootOf(boat, truth, bus.id) === part.id && truth.live.has(part.id))
        .reduce((total, bus) => total + busAmps(boat, bus.id), 0);
    case 'switch':
    case 'position':
      return truth.positions.get(point.of) ?? null;
    default:
      return null;
  }
}

function observe(boat: Boat, truth: Truth): PanelState {
  const watch = createWatch(boat);
  for (const point of boat.points.values()) {
    const value = valueOf(boat, truth, point);
    if (value !== null) watch.take({ pointId: point.id, value, atMs: 1000 });
  }
  return watch.evaluate(1000).panel;
}

/** Every way the switches can stand and the sources can be. */
function* truths(boat: Boat): Generator<Truth> {
  const choices: [PartId, string[]][] = [
    ...boat.selectors.map((own): [PartId, string[]] => [own.id, [...own.positions.keys()]]),
    ...boat.mainSwitches.map((own): [PartId, string[]] => [own.id, ['closed', 'open']]),
  ];
  const sources = boat.sources.filter((own) => own.system === 'ac').map((own) => own.id);
  const count = choices.reduce((product, [, names]) => product * names.length, 2 ** sources.length);
  for (let index = 0; index < count; index++) {
    let rest = index;
    const positions = new Map<PartId, string>();
    for (const [id, names] of choices) {
      positions.set(id, names[rest % names.length] ?? '');
      rest = Math.floor(rest / names.length);
    }
    const live = new Set<PartId>(boat.batteries.map((own) => own.id));
    sources.forEach((id, bit) => {
      if ((rest & (1 << bit)) !== 0) live.add(id);
    });
    yield { positions, live };
  }
}

const asText = ({ positions, live }: Truth): string =>
  `${[...positions].map(([id, name]) => `${id}=${name}`).join(' ')} live: ${[...live].join(' ')}`;

/** What a sentence says of where selectors and main switches stand that is not so. */
function falseWords(boat: Boat, truth: Truth, sentence: string): string[] {
  const found: string[] = [];
  for (const own of [...boat.selectors, ...boat.mainSwitches]) {
    const really = truth.positions.get(own.id) ?? '';
    const names = own.part === 'selector' ? [...own.positions.keys()] : ['closed', 'open'];
    const said = names.filter((name) =>
      [
        `${own.label} on ${name}`,
        `${own.label} stands on ${name}`,
        `${own.label} ${name}`,
        `${own.label} is ${name}`,
      ].some((words) => new RegExp(`\\b${words}(?=[.,]| and )`).test(sentence)),
    );
    for (const name of said) if (name !== really) found.push(`"${sentence}", but it is ${really}`);
  }
  return found;
}

/** The sentence of a bus must tell its root, or that nothing or nobody knows what feeds it. */
function wrongSentence(boat: Boat, truth: Truth, bus: PanelState['buses'][number]): string[] {
  const [sentence = ''] = bus.because;
  const root = rootOf(boat, truth, bus.id);
  const name = root === null ? null : (boat.parts.get(root)?.label ?? root);
  const isRight = bus.fedByIsKnown
    ? name === null
      ? sentence.startsWith(`Nothing feeds ${bus.label}: `)
      : sentence.startsWith(`${bus.label} is fed by ${name}`)
    : sentence.startsWith(`What feeds ${bus.label} is not known; it may be `) &&
      sentence.includes(name ?? 'nothing');
  return [...(isRight ? [] : [`${bus.id}: ${sentence}`]), ...falseWords(boat, truth, sentence)];
}

/** Everything the panel state is sure of that is not so. */
function wrongs(boat: Boat, truth: Truth, panel: PanelState): string[] {
  const found: string[] = panel.contradictions.map((own) => own.because.join(' '));
  for (const own of panel.selectors) {
    const really = truth.positions.get(own.id) ?? '';
    if (!own.possible.includes(really)) found.push(`${own.id} excludes ${really}`);
    if (own.because.length === 0) found.push(`${own.id} gives no reason`);
  }
  for (const own of panel.mainSwitches) {
    const really = truth.positions.get(own.id);
    if (own.position !== 'unknown' && own.position !== really) {
      found.push(`${own.id} is said to be ${own.position}`);
    }
  }
  for (const bus of panel.buses) {
    const root = rootOf(boat, truth, bus.id);
    if (bus.fedByIsKnown && bus.fedBy !== root) found.push(`${bus.id} said fed by ${bus.fedBy}`);
    if (bus.because.length !== 1 || !bus.because[0]?.endsWith('.')) {
      found.push(`${bus.id} says ${JSON.stringify(bus.because)}`);
    }
    found.push(...wrongSentence(boat, truth, bus));
    for (const leg of bus.legs) {
      if (leg.live === 'unknown') continue;
      if ((leg.live === 'live') !== isLive(boat, truth, bus.id))
        found.push(`${bus.id} ${leg.live}`);
    }
  }
  for (const source of panel.sources.filter((own) => own.system === 'ac')) {
    const fed = boat.buses.filter((bus) => rootOf(boat, truth, bus.id) === source.id);
    const extra = source.feeds.filter((id) => !fed.some((bus) => bus.id === id));
    if (extra.length > 0) found.push(`${source.id} said to feed ${extra.join()}`);
  }
  return found;
}

describe.each(['sable-plover', 'willow-dipper'])('%s', (name) => {
  const boat = load(name);

  test('is never sure and wrong, and has a sentence for every bus', () => {
    let count = 0;
    for (const truth of truths(boat)) {
      count += 1;
      expect(wrongs(boat, truth, observe(boat, truth)), asText(truth)).toEqual([]);
    }
    expect(count).toBeGreaterThan(90);
  });

  test('knows what feeds every live AC bus when exactly one source is live', () => {
    for (const truth of truths(boat)) {
      const liveSources = boat.sources.filter((own) => truth.live.has(own.id));
      if (liveSources.length !== 1) continue;
      const panel = observe(boat, truth);
      for (const bus of panel.buses.filter((own) => own.system === 'ac')) {
        if (!isLive(boat, truth, bus.id)) continue;
        if (![...boat.points.values()].some((own) => own.of === bus.id)) continue;
        expect(bus.fedBy, asText(truth)).toBe(liveSources[0]?.id);
      }
    }
  });

  test('knows it from the currents when all sources are live and the buses draw', () => {
    for (const truth of truths(boat)) {
      const ac = boat.sources.filter((own) => own.system === 'ac');
      if (!ac.every((own) => truth.live.has(own.id))) continue;
      const panel = observe(boat, truth);
      for (const bus of panel.buses.filter((own) => own.system === 'ac')) {
        const hasClamp = [...boat.points.values()].some(
          (own) => own.of === bus.id && own.quantity === 'amps',
        );
        if (!hasClamp || !isLive(boat, truth, bus.id)) continue;
        expect(bus.fedBy, asText(truth)).toBe(rootOf(boat, truth, bus.id));
      }
    }
  });
});
