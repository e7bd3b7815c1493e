/**
 * The load survey of a whole boat over a span: every circuit, source, bus and battery that anything
 * measures, from readings in order of time. Holds no reading longer than the next one of its point.
 */
import type { Boat, PartId, Point, PointId } from '../boat/boat.ts';
import { staleAfterMs } from '../panel/latest.ts';
import { batteryVolts, nominalVolts } from '../panel/nominal.ts';
import { LoadSurvey } from './load-survey.ts';
import type { Survey } from './load-survey.ts';
import { pointFinder, powerRecipe } from './power-recipe.ts';
import type { PowerBasis, PowerRecipe, Surveyed } from './power-recipe.ts';

export interface PartSurvey {
  id: PartId;
  label: string;
  part: Surveyed['part'];
  /** What the watts are made of. */
  basis: PowerBasis;
  /** In watts; its total in watt-hours. */
  power: Survey;
}

export interface PointSurvey {
  id: PointId;
  of: PartId;
  /** In the point's base unit; its total in that unit times hours. */
  values: Survey;
}

export interface BoatSurveyed {
  boat: string;
  fromMs: number;
  toMs: number;
  parts: PartSurvey[];
  points: PointSurvey[];
}

interface OfPart {
  part: Surveyed;
  recipe: PowerRecipe;
  survey: LoadSurvey;
}

interface OfPoint {
  point: Point;
  gapMaxMs: number;
  survey: LoadSurvey;
  newest: { atMs: number; value: number | null } | null;
  parts: OfPart[];
}

export class BoatSurvey {
  readonly #boat: Boat;
  readonly #fromMs: number;
  readonly #toMs: number;
  readonly #points = new Map<PointId, OfPoint>();
  readonly #parts: OfPart[] = [];

  /** From `fromMs` up to `toMs`, which lies after it. Throws RangeError where it does not. */
  constructor(boat: Boat, fromMs: number, toMs: number) {
    this.#boat = boat;
    this.#fromMs = fromMs;
    this.#toMs = toMs;
    const pointFor = pointFinder(boat);
    for (const part of [...boat.sources, ...boat.buses, ...boat.circuits, ...boat.batteries]) {
      const recipe = powerRecipe(boat, part, pointFor);
      if (recipe) this.#parts.push(this.#ofPart(part, recipe));
    }
    for (const point of boat.points.values()) {
      if (point.quantity !== 'position' && point.quantity !== 'switch') this.#addPoint(point);
    }
  }

  /**
   * Takes a reading; `value` null where the sensor said that it has none. In order of time. Words
   * and points that the boat does not have are passed over, and so is what lies outside the span.
   */
  take(pointId: PointId, atMs: number, value: number | string | null): void {
    const own = this.#points.get(pointId);
    if (!own || typeof value === 'string' || atMs < this.#fromMs || atMs >= this.#toMs) return;
    own.newest = { atMs, value };
    own.survey.take({ atMs, value });
    for (const { recipe, survey } of own.parts) {
      survey.take({ atMs, value: recipe.watts((point) => this.#fresh(point, atMs)) });
    }
  }

  surveyed(): BoatSurveyed {
    return {
      boat: this.#boat.name,
      fromMs: this.#fromMs,
      toMs: this.#toMs,
      parts: this.#parts.map(({ part, recipe, survey }) => ({
        id: part.id,
        label: part.label,
        part: part.part,
        basis: recipe.basis,
        power: survey.survey(),
      })),
      points: [...this.#points.values()].map(({ point, survey }) => ({
        id: point.id,
        of: point.of,
        values: survey.survey(),
      })),
    };
  }

  #ofPart(part: Surveyed, recipe: PowerRecipe): OfPart {
    const { legs, system } = part;
    const volts = nominalVolts(this.#boat, system) * (part.part === 'circuit' ? legs.length : 1);
    const amps = part.part === 'circuit' ? part.drawingAmps : this.#boat.limits.drawingAmps;
    const survey = new LoadSurvey({
      fromMs: this.#fromMs,
      toMs: this.#toMs,
      gapMaxMs: Math.max(...recipe.points.map((point) => staleAfterMs(this.#boat, point))),
      runsAbove: amps * volts,
    });
    return { part, recipe, survey };
  }

  #addPoint(point: Point): void {
    const gapMaxMs = staleAfterMs(this.#boat, point);
    this.#points.set(point.id, {
      point,
      gapMaxMs,
      survey: new LoadSurvey({
        fromMs: this.#fromMs,
        toMs: this.#toMs,
        gapMaxMs,
        runsAbove: this.#runsAbove(point),
      }),
      newest: null,
      parts: this.#parts.filter(({ recipe }) => recipe.points.includes(point)),
    });
  }

  /** A current runs where it draws; a voltage where it is live, which gives a generator's hours. */
  #runsAbove({ of, quantity }: Point): number | null {
    const { limits } = this.#boat;
    const part = this.#boat.parts.get(of);
    if (quantity === 'amps')
      return part?.part === 'circuit' ? part.drawingAmps : limits.drawingAmps;
    if (quantity !== 'volts' || !part) return null;
    return limits.liveRatio * nominalVolts(this.#boat, part.system, batteryVolts(part));
  }

  #fresh(point: Point, nowMs: number): number | null {
    const own = this.#points.get(point.id);
    if (!own?.newest || nowMs - own.newest.atMs > own.gapMaxMs) return null;
    return own.newest.value;
  }
}
