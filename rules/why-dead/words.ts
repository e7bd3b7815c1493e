/** The words of a broken chain: what is broken, how that is known, and what to turn or reset. */
import type { Boat, LegName, PartId, Source } from '../boat/boat.ts';
import { CAUTIONS, duration, label } from '../catalogue/rule.ts';
import { inWords } from '../panel/reasons.ts';
import type { Evidence, PanelState } from '../panel/panel-state.ts';
import { chainTo } from './chain.ts';
import type { Break, Walk } from './chain.ts';

const TAILS: Readonly<Record<Evidence, string>> = {
  measured: '',
  inferred: ', going by the other readings',
  stated: ', going by what somebody said',
  unknown: '',
};

/** ` on leg L2`; empty where the boat has one leg only or all of them are meant. */
export function onLegs(boat: Boat, legs: readonly LegName[], whole: readonly LegName[]): string {
  if ((boat.ac?.legs.length ?? 1) < 2 || legs.length === whole.length) return '';
  return ` on leg ${inWords(legs)}`;
}

const rootLegs = (boat: Boat, id: PartId): readonly LegName[] => {
  const part = boat.parts.get(id);
  return part && 'legs' in part ? part.legs : [];
};

/** What is known to be broken, as a half sentence. */
export function breakWords(boat: Boat, own: Break): string {
  const name = label(boat, own.part);
  const legs = own.legs ?? [];
  switch (own.kind) {
    case 'feeds nothing':
      return `${name} stands on ${own.position ?? ''}, which feeds nothing${TAILS[own.evidence]}`;
    case 'open':
      return `${name} is open${mayHaveTripped(boat, own)}${TAILS[own.evidence]}`;
    case 'tripped':
      return `${name} has tripped`;
    case 'no voltage': {
      const where = onLegs(boat, legs, rootLegs(boat, own.part));
      return own.evidence === 'measured'
        ? `${name} reads no voltage${where}`
        : `${name} gives no voltage${where}, going by the other readings`;
    }
    case 'lacks the leg':
      return `${name} does not supply leg ${inWords(legs)}`;
  }
}

/** What may be broken, as a half sentence. */
export function suspectWords(boat: Boat, panel: PanelState, own: Break): string {
  const name = label(boat, own.part);
  switch (own.kind) {
    case 'feeds nothing':
      return own.evidence === 'unknown'
        ? `${name} may stand on ${own.position ?? ''}`
        : `${name}, if the chain goes that way, stands on ${own.position ?? ''}`;
    case 'open':
    case 'tripped':
      return own.evidence === 'unknown'
        ? `${name} may be open${mayHaveTripped(boat, own)}`
        : `${name}, if the chain goes that way, is open`;
    case 'no voltage':
      return own.evidence === 'unknown'
        ? `${name} may give no voltage (${silence(boat, panel, own.part)})`
        : `${name} may be what should feed it, and it ${own.evidence === 'measured' ? 'reads' : 'gives'} no voltage`;
    case 'lacks the leg':
      return `${name}, which does not supply leg ${inWords(own.legs ?? [])}, may be what feeds it`;
  }
}

/** A breaker that let go looks, from its readings, like one that was opened. */
function mayHaveTripped(boat: Boat, own: Break): string {
  const part = boat.parts.get(own.part);
  const hasBreaker = part?.part === 'main switch' && part.breaker !== undefined;
  return hasBreaker && own.kind === 'open' && own.evidence !== 'measured' ? ' or has tripped' : '';
}

/** Why the voltage of a part is not known: no sensor, a silent one, or one between the limits. */
export function silence(boat: Boat, panel: PanelState, id: PartId): string {
  const points = panel.points.filter((own) => own.of === id && own.quantity === 'volts');
  if (points.length === 0) return `no sensor measures the voltage of ${label(boat, id)}`;
  if (points.some((own) => own.freshness === 'fresh')) {
    const read = points.find((own) => own.freshness === 'fresh' && typeof own.value === 'number');
    const volts = typeof read?.value === 'number' ? `${Math.round(read.value)} V, ` : '';
    return `it reads ${volts}neither full voltage nor none`;
  }
  const ageMs = Math.min(...points.map((own) => own.ageMs ?? Infinity));
  return Number.isFinite(ageMs) && points.some((own) => own.freshness === 'stale')
    ? `its voltage sensor has been silent for ${duration(ageMs)}`
    : 'its voltage sensor has not been heard since the start';
}

export interface Advice {
  doThis: string;
  cautions: string[];
}

/** What to turn, to reset or to see to, with the cautions that belong to it. */
export function adviceOn(walk: Walk, own: Break): Advice {
  const { boat } = walk;
  const name = label(boat, own.part);
  switch (own.kind) {
    case 'feeds nothing': {
      const turn = turnWords(walk, own.part);
      return {
        doThis: `If nobody switched it off on purpose, turn ${name} to ${turn}, heavy loads off first.`,
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.loadsOff],
      };
    }
    case 'open':
    case 'tripped': {
      const part = boat.parts.get(own.part);
      const mayTrip = own.kind === 'tripped' || (part?.part === 'main switch' && part.breaker);
      const first = mayTrip
        ? 'Find out whether somebody opened it on purpose or it tripped; if it tripped, find out why first.'
        : 'Find out whether somebody opened it on purpose.';
      const verb = own.kind === 'tripped' ? 'reset' : 'close';
      return {
        doThis: `${first} Then switch heavy loads off and ${verb} ${name}.`,
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.loadsOff, CAUTIONS.electrician],
      };
    }
    case 'no voltage':
      return sourceAdvice(walk, own.part);
    case 'lacks the leg':
      return {
        doThis: `${name} cannot feed it; another source has to, if there is one.`,
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
      };
  }
}

const START: Readonly<Record<Source['kind'], (name: string, boat: Boat, own: Source) => string>> = {
  'shore inlet': (name) =>
    `See whether the cord of ${name} is plugged in and the breaker on the dock is on.`,
  generator: (name) =>
    `Start ${name} if you want it to feed, or see why it gives no voltage while it runs.`,
  inverter: (name, boat, own) =>
    `See whether ${name} is switched on and what it shows${'battery' in own ? `, and what ${label(boat, own.battery)} reads` : ''}.`,
  alternator: (name) => `${name} gives voltage only while its engine runs.`,
  solar: (name) => `See whether the controller of ${name} is switched on.`,
};

function sourceAdvice(walk: Walk, id: PartId): Advice {
  const part = walk.boat.parts.get(id);
  const name = label(walk.boat, id);
  const cautions: string[] = [CAUTIONS.neverProvesDead];
  if (part?.part !== 'source') {
    return {
      doThis: `See the isolator and the fuse of ${name} and its sensor.`,
      cautions: [...cautions, CAUTIONS.electrician],
    };
  }
  if (part.kind === 'shore inlet') cautions.push(CAUTIONS.shorePlug);
  if (part.kind === 'generator') cautions.push(CAUTIONS.generator, CAUTIONS.loadsOff);
  return {
    doThis: START[part.kind](name, walk.boat, part),
    cautions: [...cautions, CAUTIONS.electrician],
  };
}

/** Positions that lead to voltage for certain; failing that, all that feed. */
function turnWords(walk: Walk, id: PartId): string {
  const part = walk.boat.parts.get(id);
  if (part?.part !== 'selector') return 'a position that feeds';
  const feeding = [...part.positions].flatMap(([name, from]) =>
    from === null ? [] : [{ name, from }],
  );
  const live = feeding.filter(({ from }) => {
    const chain = chainTo(walk, from);
    return chain.breaks.length === 0 && chain.mayBeWhole && chain.impossible.length === 0;
  });
  const chosen = (live.length > 0 ? live : feeding).map(
    ({ name, from }) => `${name} (${label(walk.boat, from)})`,
  );
  const after = live.length > 0 ? ', which has voltage' : '; none of them is known to have voltage';
  return `${inWords(chosen, 'or')}${live.length > 1 ? ', which have voltage' : after}`;
}
