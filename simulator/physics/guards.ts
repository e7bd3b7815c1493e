/** The boat's own breakers and fuses: each warms up with what it carries and trips by itself. */
import type { Boat, PartId } from '../../rules/index.ts';
import type { AcNetwork } from './ac-network.ts';
import { BreakerHeat } from './breaker.ts';
import { magnitude } from './complex.ts';
import type { DcNetwork } from './dc-network.ts';
import type { Switches } from './switches.ts';

export class Guards {
  readonly #switches: Switches;
  readonly #heat = new Map<PartId, BreakerHeat>();

  constructor(boat: Boat, switches: Switches) {
    this.#switches = switches;
    for (const part of [...boat.circuits, ...boat.mainSwitches]) {
      if (part.breaker === undefined) continue;
      this.#heat.set(part.id, new BreakerHeat(part.breaker.ampsRated, part.breaker.kind));
    }
  }

  /** What each carried for the last `seconds`. */
  advance(ac: AcNetwork, dc: DcNetwork, seconds: number): void {
    if (seconds === 0) return;
    for (const [id, heat] of this.#heat) {
      const hasTripped = heat.carries(ampsThrough(id, ac, dc), seconds);
      if (hasTripped && this.#switches.contactOf(id) === 'closed') {
        this.#switches.move(id, 'tripped');
      }
    }
  }
}

function ampsThrough(id: PartId, ac: AcNetwork, dc: DcNetwork): number {
  const circuit = ac.atCircuit.get(id);
  if (circuit !== undefined) return magnitude(circuit.amps);
  const feeder = ac.atSwitch.get(id);
  if (feeder !== undefined) return Math.max(magnitude(feeder.amps[0]), magnitude(feeder.amps[1]));
  return Math.abs(dc.atCircuit.get(id)?.amps ?? dc.atSwitch.get(id)?.amps ?? 0);
}
