/** How often a wrong password or code was given of late, for whoever tells the owner. */

const HOUR_MS = 3_600_000;
/** More than this in an hour is only said to be so many; the throttle lets few through anyway. */
const REMEMBERED_MAX = 1000;

export class FailedSignIns {
  #atMs: number[] = [];

  /** One was refused because it was wrong; those that had to wait were never looked at. */
  count(nowMs: number): void {
    this.#forget(nowMs);
    this.#atMs.push(nowMs);
    if (this.#atMs.length > REMEMBERED_MAX) this.#atMs.shift();
  }

  /** Since an hour before `nowMs`; those before the start of panelward are forgotten. */
  inLastHour(nowMs: number): number {
    this.#forget(nowMs);
    return this.#atMs.length;
  }

  #forget(nowMs: number): void {
    this.#atMs = this.#atMs.filter((atMs) => nowMs - atMs < HOUR_MS);
  }
}
