/**
 * The load survey of a whole boat over a span: every circuit, source, bus and battery that anything
 * measures, from readings in order of time. Holds no reading longer than the next one of its point.
 */
import type { Boat, PartId, Point, PointId } from '../boat/boat.ts';
import { staleAfterMs } from '../panel/latest.ts';
import { batteryVolts, nominalVolts } from '../panel/nominal.ts';
import { LoadSurvey } from './load-survey.ts';
import type { Survey } from './load-survey.ts';
import { joined, surveyOf } from './survey-piece.ts';
import type { SurveyPiece } from './survey-piece.ts';
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

/** The survey of a piece of time: what each part and point came to, by their ids. Plain JSON. */
export interface BoatPiece {
  parts: Record<PartId, SurveyPiece>;
  points: Record<PointId, SurveyPiece>;
}

/** Pieces in order of time to one. */
export function joinedBoat(pieces: readonly BoatPiece[]): BoatPiece {
  const of = (kind: keyof BoatPiece): Record<string, SurveyPiece> => {
    const ids = new Set(pieces.flatMap((piece) => Object.keys(piece[kind])));
    return Object.fromEntries(
      Array.from(ids, (id) => [id, joined(pieces.flatMap((piece) => piece[kind][id] ?? []))]),
    );
  };
  return { parts: of('parts'), points: of('points') };
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
  runsAbove: number;
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
  readonly #stepMs: number;

  /**
   * From `fromMs` up to `toMs`, which lies after it. Throws RangeError where it does not. `stepMs`:
   * what is taken are means of steps so long, and not readings.
   */
  constructor(boat: Boat, fromMs: number, toMs: number, stepMs = 0) {
    this.#boat = boat;
    this.#stepMs = stepMs;
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
   * and points that the boat does not have are passed over, and so is what lies further outside the
   * span than what leads into it and out of it (`leadMs`).
   */
  take(pointId: PointId, atMs: number, value: number | string | null): void {
    const own = this.#points.get(pointId);
    if (!own || typeof value === 'string') return;
    if (atMs < this.#fromMs - own.gapMaxMs || atMs >= this.#toMs + own.gapMaxMs) return;
    own.newest = { atMs, value };
    own.survey.take({ atMs, value });
    for (const { recipe, survey } of own.parts) {
      survey.take({ atMs, value: recipe.watts((point) => this.#fresh(point, atMs)) });
    }
  }

  surveyed(): BoatSurveyed {
    return this.surveyedFrom([this.piece()]);
  }

  /** What was taken, to be put together with the pieces beside it. */
  piece(): BoatPiece {
    const parts = this.#parts.map(({ part, survey }) => [part.id, survey.piece()] as const);
    const points = [...this.#points].map(([id, { survey }]) => [id, survey.piece()] as const);
    return { parts: Object.fromEntries(parts), points: Object.fromEntries(points) };
  }

  /** The survey of this span out of pieces, in order of time; what they do not cover is unknown. */
  surveyedFrom(pieces: readonly BoatPiece[]): BoatSurveyed {
    const spanMs = this.#toMs - this.#fromMs;
    return {
      boat: this.#boat.name,
      fromMs: this.#fromMs,
      toMs: this.#toMs,
      parts: this.#parts.map(({ part, recipe }) => ({
        id: part.id,
        label: part.label,
        part: part.part,
        basis: recipe.basis,
        power: surveyOf(
          pieces.flatMap(({ parts }) => parts[part.id] ?? []),
          spanMs,
        ),
      })),
      points: [...this.#points.values()].map(({ point: { id, of } }) => ({
        id,
        of,
        values: surveyOf(
          pieces.flatMap(({ points }) => points[id] ?? []),
          spanMs,
        ),
      })),
    };
  }

  /** So long before and after the span readings may lead into it and out of it, ms. */
  get leadMs(): number {
    return Math.max(0, ...[...this.#points.values()].map(({ gapMaxMs }) => gapMaxMs));
  }

  /** Text that differs where the same readings would be surveyed in another way. */
  get recipes(): string {
    const points = [...this.#points].map(([id, { point, gapMaxMs }]) => [
      id,
      gapMaxMs,
      this.#runsAbove(point),
    ]);
    const parts = this.#parts.map(({ part, recipe, runsAbove }) => {
      return [part.id, recipe.basis, recipe.points.map(({ id }) => id), recipe.nominal, runsAbove];
    });
    return JSON.stringify([points, parts]);
  }

  #ofPart(part: Surveyed, recipe: PowerRecipe): OfPart {
    const { legs, system } = part;
    const volts = nominalVolts(this.#boat, system) * (part.part === 'circuit' ? legs.length : 1);
    const amps = part.part === 'circuit' ? part.drawingAmps : this.#boat.limits.drawingAmps;
    const runsAbove = amps * volts;
    const survey = new LoadSurvey({
      fromMs: this.#fromMs,
      toMs: this.#toMs,
      gapMaxMs: Math.max(...recipe.points.map((point) => this.#gapMaxMs(point))),
      runsAbove: this.#stepMs > 0 ? null : runsAbove,
    });
    return { part, recipe, runsAbove, survey };
  }

  #addPoint(point: Point): void {
    const gapMaxMs = this.#gapMaxMs(point);
    this.#points.set(point.id, {
      point,
      gapMaxMs,
      survey: new LoadSurvey({
        fromMs: this.#fromMs,
        toMs: this.#toMs,
        gapMaxMs,
        runsAbove: this.#stepMs > 0 ? null : this.#runsAbove(point),
      }),
      newest: null,
      parts: this.#parts.filter(({ recipe }) => recipe.points.includes(point)),
    });
  }

  #gapMaxMs(point: Point): number {
    return staleAfterMs(this.#boat, point) + this.#stepMs;
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
