/**
 * Everything in the readings that cannot be true together: groups that no positions explain,
 * sources that deliver without voltage, clamps that disagree. Which sensor is wrong takes many
 * tries to find, so it is kept until a fact changes.
 */
import type { Boat } from '../boat/boat.ts';
import { ClampAudit } from './clamp-audit.ts';
import { emptyAudit } from './clamp-steps.ts';
import type { Conclusions } from './conclusions.ts';
import { groupContradiction, impossibleSource } from './culprits.ts';
import type { Facts } from './facts.ts';
import type { Latest } from './latest.ts';
import type { Contradiction } from './panel-state.ts';
import type { Past } from './past.ts';
import type { Supply } from './supply.ts';

/** A sensor may turn out to be frozen while the facts stay as they are. */
const LOOK_AGAIN_MS = 10_000;

export class ContradictionFinder {
  readonly #boat: Boat;
  readonly #supply: Supply;
  readonly #latest: Latest;
  readonly #past: Past;
  readonly #audit: ClampAudit;
  #key = '';
  #atMs = 0;
  #ofGroups: Contradiction[] = [];

  constructor(boat: Boat, supply: Supply, latest: Latest, past: Past) {
    this.#boat = boat;
    this.#supply = supply;
    this.#latest = latest;
    this.#past = past;
    this.#audit = new ClampAudit(boat, latest);
  }

  /** Called once an evaluation: it also takes note of what the clamps show. */
  find(facts: Facts, conclusions: Conclusions, nowMs: number): Contradiction[] {
    const scene = { boat: this.#boat, supply: this.#supply, facts, latest: this.#latest };
    const audit = (this.#past.audit ??= emptyAudit());
    this.#audit.note(audit, nowMs);
    const key = conclusions.contradictory.length > 0 ? conclusions.key : '';
    if (key !== this.#key || (key !== '' && nowMs - this.#atMs >= LOOK_AGAIN_MS)) {
      this.#key = key;
      this.#atMs = nowMs;
      this.#ofGroups = conclusions.contradictory.map((group) => groupContradiction(scene, group));
    }
    return [
      ...facts.impossible.map((own) => impossibleSource(scene, own)),
      ...this.#ofGroups,
      ...this.#audit.contradictions(audit),
    ];
  }
}
