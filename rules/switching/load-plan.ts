/**
 * What can still be switched on: for every circuit that does not run, and for every appliance that
 * the boat file names, whether it fits. Pure arithmetic over one panel state, on the safe side: the
 * larger of learned and stated currents, room kept for whatever may come on by itself, a margin
 * below every rating, and nothing fits that hangs on something unknown.
 */
import type { Boat, Circuit } from '../boat/boat.ts';
import { label as nameOf } from '../catalogue/rule.ts';
import { byId, circuitsOn } from '../panel/lookup.ts';
import type { PanelState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { bottlenecksAbove, ofSource, ownBreaker } from './bottlenecks.ts';
import type { Bottleneck } from './bottlenecks.ts';
import { applianceLoad, expectedLoad, isAtWork } from './expected-load.ts';
import type { ExpectedLoad } from './expected-load.ts';
import { whatMustBeOff } from './off-choices.ts';
import type { LoadAnswer, LoadPlan, LoadVerdict, SourceRoom } from './plan.ts';
import { failWords, fitWords, reserveWords } from './plan-words.ts';
import { blockedBy } from './preconditions.ts';
import type { Blocked } from './preconditions.ts';
import { supplyPath } from './supply-path.ts';
import { fails, passes, reservesOf, share, weigh } from './weighing.ts';
import type { Added, Planning, Weighed } from './weighing.ts';

/** The plan as of `panel`. Nothing is remembered from one to the next. */
export function loadPlan(boat: Boat, panel: PanelState): LoadPlan {
  const planning: Planning = { boat, panel, reserves: reservesOf(boat, panel) };
  return {
    atMs: panel.atMs,
    rooms: roomsOf(planning),
    answers: boat.circuits.flatMap((circuit) => answersFor(planning, circuit)),
  };
}

interface Candidate {
  circuit: Circuit;
  label: string;
  appliance: string | null;
  load: ExpectedLoad;
}

function answersFor(planning: Planning, circuit: Circuit): LoadAnswer[] {
  const { boat, panel } = planning;
  const state = byId(panel.circuits, circuit.id);
  if (!state) return [];
  if (circuit.appliances && circuit.appliances.length > 0) {
    return circuit.appliances.map((appliance) =>
      answer(planning, {
        circuit,
        label: appliance.label,
        appliance: appliance.label,
        load: applianceLoad(boat, appliance),
      }),
    );
  }
  if (isAtWork(state)) return [];
  const load = expectedLoad(boat, circuit, state);
  return [answer(planning, { circuit, label: circuit.label, appliance: null, load })];
}

function answer(planning: Planning, candidate: Candidate): LoadAnswer {
  const { circuit, load, appliance, label } = candidate;
  const { boat, panel } = planning;
  const path = supplyPath(boat, panel, circuit.bus);
  const said = (
    verdict: LoadVerdict,
    because: string,
    more: Partial<Pick<LoadAnswer, 'ifOff' | 'first'>> = {},
  ): LoadAnswer => ({
    circuit: circuit.id,
    appliance,
    label,
    legs: [...circuit.legs],
    amps: load.amps,
    from: load.from,
    startAmps: load.startAmps,
    source: path?.source?.id ?? null,
    verdict,
    ifOff: [],
    first: [],
    ...more,
    because,
  });
  const found = blockedBy(planning, circuit, path !== null);
  if ('verdict' in found || path === null) {
    const { verdict, because } = 'verdict' in found ? found : NO_PATH;
    return said(verdict, because);
  }
  const { first, excluded } = found;
  const added: Added[] = [
    { circuit, load, isOnTop: appliance !== null },
    ...first.map((own) => ({ circuit: own, load: requiredLoad(planning, own), isOnTop: false })),
  ];
  const all = bottlenecksOf(planning, added);
  const { off, isEnough } = whatMustBeOff(planning, all, added, excluded);
  const required = first.map(({ id }) => id);
  const weighedWith = (gone: ReadonlySet<string>): Weighed[] =>
    all.map((one) => weigh(planning, one, { added, off: gone }));
  if (!isEnough) {
    const weighed = weighedWith(off);
    const verdict = weighed.some(fails) ? 'does not fit' : 'not known';
    return said(verdict, sentence(planning, weighed, fails), { first: required });
  }
  if (off.size === 0)
    return said('fits', sentence(planning, weighedWith(off), passes), { first: required });
  const before = weighedWith(new Set());
  const because = before.some(fails)
    ? sentence(planning, before, fails)
    : `It must not run together with ${inWords(excluded.map((id) => nameOf(boat, id)))}.`;
  return said('fits if off', because, { ifOff: [...off], first: required });
}

const NO_PATH: Blocked = { verdict: 'not known', because: 'What feeds its bus is not known.' };

function requiredLoad({ boat, panel }: Planning, circuit: Circuit): ExpectedLoad {
  const state = byId(panel.circuits, circuit.id);
  if (!state) throw new Error(`The panel has no circuit "${circuit.id}".`);
  return expectedLoad(boat, circuit, state);
}

/** Every limit that any of the added loads meets, each once. */
function bottlenecksOf(planning: Planning, added: readonly Added[]): Bottleneck[] {
  const { boat, panel } = planning;
  const found = new Map<string, Bottleneck>();
  for (const { circuit, load, isOnTop } of added) {
    const path = supplyPath(boat, panel, circuit.bus);
    if (!path) continue;
    const above = bottlenecksAbove(boat, panel, path);
    // A circuit's own load takes the place of what it draws, so that need not be known.
    const now = byId(panel.circuits, circuit.id)?.amps.value ?? (isOnTop ? null : 0);
    // All that a breaker lets through needs no look at that breaker.
    const own = load.from === 'breaker' ? [] : [ownBreaker(boat, circuit, now, isOnTop)];
    for (const one of [...own, ...above]) {
      if (added.some((other) => one.shareOf(other.circuit) > 0)) {
        found.set(`${one.part} ${one.leg ?? ''} ${one.unit} ${one.rated}`, one);
      }
    }
  }
  return [...found.values()];
}

/** The limit that decides, in a sentence; or the part whose load nobody sees. */
function sentence(
  { boat }: Planning,
  weighed: readonly Weighed[],
  counts: typeof passes | typeof fails,
): string {
  const [worst] = weighed.filter(counts).sort((a, b) => share(a) - share(b));
  if (worst) {
    const words = counts === passes ? fitWords(boat, worst) : failWords(boat, worst);
    return `${words}${reserveWords(boat, worst.reservedFor)}.`;
  }
  const blind = weighed.find(({ slack }) => slack === null);
  if (blind) return `What ${blind.bottleneck.label} carries now is not known.`;
  return 'No rating stands in its way.';
}

function roomsOf(planning: Planning): SourceRoom[] {
  const { boat, panel } = planning;
  return boat.sources.flatMap((source) => {
    if (source.system !== 'ac') return [];
    const fed = panel.buses.filter(({ fedBy }) => fedBy === source.id);
    if (fed.length === 0) return [];
    const all = ofSource(boat, panel, source);
    const kept = planning.reserves.filter(({ circuit }) =>
      fed.some((bus) => circuitsOn(boat, bus.id).includes(circuit)),
    );
    const legs = all
      .filter(({ unit }) => unit === 'A')
      .map((own) =>
        legRoom(
          planning,
          own,
          all.filter(({ unit }) => unit !== 'A'),
        ),
      );
    return [{ source: source.id, legs, reservedFor: kept.map(({ circuit }) => circuit.id) }];
  });
}

function legRoom(planning: Planning, own: Bottleneck, totals: readonly Bottleneck[]) {
  const nothing = { added: [], off: new Set<string>() };
  const weighed = weigh(planning, own, nothing);
  const kiloVolts = (planning.boat.ac?.volts ?? 0) / 1000;
  const asWhole = totals.map((one) => {
    const { slack } = weigh(planning, one, nothing);
    return slack === null ? null : slack / kiloVolts;
  });
  const all = [weighed.slack, ...asWhole];
  const known = all.flatMap((room) => (room === null ? [] : [room]));
  const reserved = planning.reserves.reduce(
    (sum, { circuit, amps }) => sum + amps * own.shareOf(circuit),
    0,
  );
  return {
    leg: own.leg ?? '',
    ampsRated: own.rated,
    ampsNow: own.now,
    ampsReserved: reserved,
    ampsRoom: known.length < all.length ? null : Math.min(...known),
  };
}
