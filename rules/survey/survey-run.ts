/**
 * A survey of recorded readings as they were stored. Where the wall clock was set back while running,
 * an hour of the clock came twice: each is surveyed by itself, and both count.
 */
import type { Boat, PointId } from '../boat/boat.ts';
import { BoatSurvey } from './boat-survey.ts';
import type { BoatPiece } from './boat-survey.ts';

export class SurveyRun {
  readonly #begin: () => BoatSurvey;
  readonly #pieces: BoatPiece[] = [];
  #survey: BoatSurvey;
  #lastMs = -Infinity;

  constructor(boat: Boat, fromMs: number, toMs: number) {
    this.#begin = () => new BoatSurvey(boat, fromMs, toMs);
    this.#survey = this.#begin();
  }

  take(pointId: PointId, atMs: number, value: number | string | null): void {
    if (atMs < this.#lastMs) {
      this.#pieces.push(this.#survey.piece());
      this.#survey = this.#begin();
    }
    this.#lastMs = atMs;
    this.#survey.take(pointId, atMs, value);
  }

  /** In the order they were recorded. */
  pieces(): BoatPiece[] {
    return [...this.#pieces, this.#survey.piece()];
  }
}
