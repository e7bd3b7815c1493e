/** Wall times after the daemon's clock turned out to be wrong: one offset, at the edge only. */
import { afterEach, describe, expect, test } from 'vitest';
import { utcOffsetMs } from '../../dashboard/boat-clock.ts';
import { clockText, dateText, hourText, secondsText } from '../../dashboard/format.ts';
import { fromLocalInput, ownOffsetAt, toLocalInput } from '../../dashboard/models/local-input.ts';

const EVENING_MS = Date.UTC(2026, 6, 1, 22, 30, 7);
const WRONG_BY_MS = 26 * 3_600_000 + 90_000;

afterEach(() => {
  utcOffsetMs.value = 0;
});

describe('the clock of the boat was a day, two hours and a minute and a half behind', () => {
  test('and what is shown is UTC and the zone, as if it had been right', () => {
    const right = [
      clockText(EVENING_MS, EVENING_MS - 86_400_000, 'UTC'),
      secondsText(EVENING_MS, 'UTC'),
      dateText(EVENING_MS, 'UTC'),
    ];
    utcOffsetMs.value = WRONG_BY_MS;
    const said = EVENING_MS - WRONG_BY_MS;
    expect(clockText(said, said - 86_400_000, 'UTC')).toBe(right[0]);
    expect(secondsText(said, 'UTC')).toBe(right[1]);
    expect(dateText(said, 'UTC')).toBe(right[2]);
  });

  test('and a full hour of any day is still that hour', () => {
    const right = hourText(19);
    utcOffsetMs.value = WRONG_BY_MS;
    expect(hourText(19)).toBe(right);
  });

  test('and what a person types in means the wall clock', () => {
    const typed = toLocalInput(EVENING_MS, ownOffsetAt(EVENING_MS));
    utcOffsetMs.value = WRONG_BY_MS;
    const said = EVENING_MS - WRONG_BY_MS;
    expect(toLocalInput(said, ownOffsetAt(said))).toBe(typed);
    const minute = Math.floor(EVENING_MS / 60_000) * 60_000;
    expect(fromLocalInput(typed, ownOffsetAt)).toBe(minute - WRONG_BY_MS);
  });
});
