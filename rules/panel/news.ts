/**
 * Which parts have to be looked at again: those whose points were read or went stale since the last
 * look, those of which something else is concluded, and all that rest on them.
 */
import type { PartId } from '../boat/boat.ts';
import type { Conclusion } from './conclusions.ts';
import { conclusionOf, numberOf } from './instant.ts';
import type { Instant } from './instant.ts';
import { circuitsOn } from './lookup.ts';

export class News {
  readonly #counts = new Map<PartId, number>();
  readonly #concluded = new Map<PartId, Conclusion | undefined>();

  /** The parts whose state may differ from that at the last look by more than its age. */
  look(instant: Instant): ReadonlySet<PartId> {
    const { boat, supply } = instant;
    const groupOf = (id: PartId) => supply.parts[numberOf(instant, id)]?.group;
    const parts = new Set<PartId>();
    for (const { id, bus } of boat.circuits) {
      if (this.#isRead(instant, id)) parts.add(id).add(bus);
    }
    for (const { id } of boat.buses) {
      if (!this.#isNew(instant, id)) continue;
      parts.add(id);
      for (const circuit of circuitsOn(boat, id)) parts.add(circuit.id);
    }
    // Without a clamp of its own a source has the current of the buses that it feeds.
    const groups = new Set(
      boat.buses.filter(({ id }) => parts.has(id)).map(({ id }) => groupOf(id)),
    );
    for (const { id } of boat.sources) {
      if (this.#isNew(instant, id) || groups.has(groupOf(id))) parts.add(id);
    }
    for (const { id } of [...boat.selectors, ...boat.mainSwitches, ...boat.batteries]) {
      if (this.#isNew(instant, id)) parts.add(id);
    }
    return parts;
  }

  #isNew(instant: Instant, id: PartId): boolean {
    const isRead = this.#isRead(instant, id);
    const conclusion = conclusionOf(instant, id);
    const isConcluded = this.#concluded.has(id) && this.#concluded.get(id) === conclusion;
    this.#concluded.set(id, conclusion);
    return isRead || !isConcluded;
  }

  #isRead({ latest, nowMs }: Instant, id: PartId): boolean {
    const count = latest.changes(id, nowMs);
    const before = this.#counts.get(id);
    this.#counts.set(id, count);
    return count !== before;
  }
}
