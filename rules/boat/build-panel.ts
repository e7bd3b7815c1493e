/** Selectors, main switches, buses and circuits of `boat.ts` from the boat file. */
import type { AcSystem, Breaker, BreakerKind, Bus, Circuit, MainSwitch, Selector } from './boat.ts';
import { buildConductor } from './build-conductor.ts';
import { NOTHING } from './file-panel.ts';
import type { BoatFile, CircuitEntry } from './file-schema.ts';
import { given } from './records.ts';
import type { SupplyView } from './supply-view.ts';

type Section<Name extends 'selectors' | 'switches' | 'buses'> = NonNullable<BoatFile[Name]>[string];

/** A checked file has no part of both systems, and none that nothing feeds. */
function systemOf(id: string, supply: SupplyView): 'ac' | 'dc' {
  return supply.systemOf(id) === 'dc' ? 'dc' : 'ac';
}

/** `names` are the positions in panel order. */
export function buildSelector(
  id: string,
  file: Section<'selectors'>,
  names: readonly string[],
  supply: SupplyView,
): Selector {
  const positions = new Map(
    names.map((name) => {
      const from = file.positions[name] ?? NOTHING;
      return [name, from === NOTHING ? null : from];
    }),
  );
  const system = systemOf(id, supply);
  return { part: 'selector', id, label: file.label ?? id, system, positions };
}

export function buildMainSwitch(
  id: string,
  file: Section<'switches'>,
  kind: BreakerKind,
  supply: SupplyView,
): MainSwitch {
  const breaker = file.breaker === undefined ? undefined : buildBreaker(file.breaker, kind);
  const rest = { label: file.label ?? id, system: systemOf(id, supply), from: file.from };
  return given({ part: 'main switch', id, ...rest, breaker } as const);
}

export function buildBus(id: string, file: Section<'buses'>, supply: SupplyView): Bus {
  const rest = { label: file.label ?? id, system: systemOf(id, supply), from: file.from };
  const legs = supply.legsOf(id) ?? [];
  return given({ part: 'bus', id, ...rest, legs, ampsRated: file.amps } as const);
}

/** `drawingAmps` is the boat's limit. */
export function buildCircuit(
  id: string,
  file: CircuitEntry,
  kind: BreakerKind,
  drawingAmps: number,
  supply: SupplyView,
): Circuit {
  const onBus = supply.legsOf(file.bus) ?? [];
  const conductor = file.conductor === undefined ? undefined : buildConductor(file.conductor);
  const { bus, load, ampsRunning, shedding, standingOrder, standingOrderWhenFedBy } = file;
  return given({
    part: 'circuit' as const,
    id,
    label: file.label ?? id,
    system: systemOf(bus, supply),
    position: file.position === undefined ? undefined : String(file.position),
    bus,
    legs: file.legs ?? (file.leg === undefined ? onBus : [file.leg]),
    breaker: buildBreaker(file.breaker, kind),
    conductor: conductor ?? undefined,
    load,
    duty: file.duty,
    ampsRunning,
    drawingAmps: file.drawingAmps ?? drawingAmps,
    shedding,
    requires: [...new Set(file.requires)],
    excludes: [...new Set(file.excludes)],
    standingOrder,
    standingOrderWhenFedBy,
    preferInstead: file.preferInstead,
    charges: file.charges,
    appliances: file.appliances?.map(({ label, amps, minutes }) =>
      given({ label, ampsRunning: amps, minutesOn: minutes }),
    ),
    startsByItself: file.startsByItself,
    note: file.note,
  });
}

function buildBreaker(file: CircuitEntry['breaker'], kind: BreakerKind): Breaker {
  return { ampsRated: file.amps, kind: file.kind ?? kind };
}

/** What hangs in the panels of such a boat: UL 489 in the Americas, IEC 60898-1 type C elsewhere. */
export function usualBreakerKind(ac: AcSystem | null): BreakerKind {
  return ac === null || ac.hertz === 60 ? 'UL 489' : 'IEC C';
}
