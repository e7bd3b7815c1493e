/** What one quantity came to over a span, against arithmetic that anyone can redo by hand. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DURATION_SHARES, LoadSurvey } from '../../../rules/survey/load-survey.ts';
import type { SurveySpan } from '../../../rules/survey/load-survey.ts';

const HOUR = 3_600_000;
const START = Date.UTC(2026, 6, 1);

const hours = (own: Partial<SurveySpan> = {}): SurveySpan => ({
  fromMs: START,
  toMs: START + 4 * HOUR,
  gapMaxMs: 10_000,
  runsAbove: 50,
  ...own,
});

function surveyOf(span: SurveySpan, value: (seconds: number) => number | null, everySeconds = 1) {
  const survey = new LoadSurvey(span);
  for (let atMs = span.fromMs; atMs <= span.toMs; atMs += everySeconds * 1000) {
    const now = value((atMs - span.fromMs) / 1000);
    if (!Number.isNaN(now)) survey.take({ atMs, value: now });
  }
  return survey.survey();
}

describe('a load that runs one quarter of an hour in each', () => {
  const own = surveyOf(hours(), (seconds) => (seconds % 3600 < 900 ? 1200 : 0));

  it('uses 300 Wh an hour', () => {
    expect(own.total).toBeCloseTo(1200, 0);
    expect(own.mean).toBeCloseTo(300, 0);
    expect(own.coverage).toBe(1);
  });

  it('has its full power as its peak demand, from the first such quarter on', () => {
    expect(own.peakDemand?.mean).toBeCloseTo(1200, -1);
    expect(own.peakDemand).toMatchObject({ fromMs: START, coverage: 1 });
  });

  it('counts runs and starts; it ran already when it was first seen', () => {
    expect(own.runs).toMatchObject({ runMs: HOUR, knownMs: 4 * HOUR, starts: 4 });
    expect(own.runs?.dutyRatio).toBe(0.25);
  });

  it('is above its power for a quarter of the time, and above nothing for the rest', () => {
    const at = (share: number) => own.loadDuration[DURATION_SHARES.indexOf(share)];
    expect(Math.abs((at(0.2) ?? 0) / 1200 - 1)).toBeLessThan(0.005);
    expect(at(0.3)).toBe(0);
  });
});

describe('a gap', () => {
  const own = surveyOf(hours(), (seconds) => (seconds > 3600 && seconds < 7200 ? Number.NaN : 400));

  it('adds nothing and lowers the coverage', () => {
    expect(own.total).toBeCloseTo(1200, 6);
    expect(own.coverage).toBeCloseTo(0.75, 6);
    expect(own.mean).toBeCloseTo(400, 6);
    expect(own.runs?.knownMs).toBe(3 * HOUR);
  });

  it('hides a start, which is then not counted', () => {
    const hidden = surveyOf(hours(), (s) => (s < 100 ? 0 : s < 200 ? Number.NaN : 400));
    expect(hidden.runs?.starts).toBe(0);
  });

  it('of the sensor itself (null) is one too', () => {
    const silent = surveyOf(hours(), (seconds) => (seconds >= 3600 ? null : 400));
    expect(silent.coverage).toBeCloseTo(3599 / 14_400, 6);
  });
});

it('compares no quarter of an hour that it has hardly seen', () => {
  const own = surveyOf(hours(), (s) => (s < 60 ? 9000 : s < 900 ? Number.NaN : 100));
  expect(own.most?.value).toBe(9000);
  expect(own.peakDemand?.mean).toBeCloseTo(100, 6);
});

it('says nothing of what nobody measured', () => {
  const own = new LoadSurvey(hours()).survey();
  expect(own).toMatchObject({ coverage: 0, total: null, mean: null, most: null, peakDemand: null });
  expect(own.runs?.dutyRatio).toBeNull();
  expect(own.loadDuration.every((level) => level === null)).toBe(true);
});

it('refuses a span without a length', () => {
  expect(() => new LoadSurvey(hours({ toMs: START }))).toThrow(RangeError);
});

it('does not take the noise of a clamp near its limit for starts', () => {
  const own = surveyOf(hours(), (seconds) => (seconds === 0 ? 60 : 50 + (seconds % 2 ? 4 : -4)));
  expect(own.runs?.starts).toBe(0);
});

describe('whatever the load', () => {
  const series = fc.array(fc.float({ min: -5000, max: 5000, noNaN: true }), {
    minLength: 2,
    maxLength: 300,
  });

  it('lies its total between its extremes times the known time, and its demand below its peak', () => {
    fc.assert(
      fc.property(series, (values) => {
        const own = surveyOf(
          hours({ toMs: START + (values.length - 1) * 1000 }),
          (seconds) => values[seconds] ?? 0,
        );
        const known = own.knownMs / HOUR;
        expect(own.total).toBeLessThanOrEqual((own.most?.value ?? 0) * known + 1e-6);
        expect(own.total).toBeGreaterThanOrEqual((own.least?.value ?? 0) * known - 1e-6);
        const curve = own.loadDuration.map((level) => level ?? Infinity);
        expect([...curve].sort((a, b) => b - a)).toEqual(curve);
      }),
    );
  });

  it('adds up over a cut that lies on a reading', () => {
    fc.assert(
      fc.property(series, fc.nat(), (values, seed) => {
        const cut = 1 + (seed % Math.max(1, values.length - 2));
        const value = (seconds: number): number => values[seconds] ?? 0;
        const toMs = START + (values.length - 1) * 1000;
        const whole = surveyOf(hours({ toMs }), value);
        if (cut >= values.length - 1) return;
        const middle = START + cut * 1000;
        const first = surveyOf(hours({ toMs: middle }), value);
        const second = surveyOf(hours({ fromMs: middle, toMs }), (s) => value(s + cut));
        expect((first.total ?? 0) + (second.total ?? 0)).toBeCloseTo(whole.total ?? 0, 6);
      }),
    );
  });
});
