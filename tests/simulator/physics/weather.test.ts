import { expect, test } from 'vitest';
import { Drift } from '../../../simulator/physics/drift.ts';
import { Weather, dockUse } from '../../../simulator/physics/weather.ts';
import { createRandom } from '../../../simulator/random.ts';
import { sablePlover, shipFor } from '../demo-boats.ts';

function day(): { hour: number; celsius: number; sun: number }[] {
  const weather = new Weather(shipFor(sablePlover).weather, createRandom(1, 'weather'));
  return Array.from({ length: 24 * 60 }, (_, minute) => {
    weather.advance(minute / 60, 60);
    const { hour, celsius, sun } = weather;
    return { hour, celsius, sun };
  });
}

test('no sun before sunrise and after sunset, most of it about noon', () => {
  const night = day().filter(({ hour }) => hour < 6 || hour > 20.5);
  expect(night.every(({ sun }) => sun === 0)).toBe(true);
  const noon = day().filter(({ hour }) => Math.abs(hour - 13) < 1);
  const mean = noon.reduce((sum, { sun }) => sum + sun, 0) / noon.length;
  expect(mean).toBeGreaterThan(0.5);
  expect(mean).toBeLessThanOrEqual(1);
});

test('the air is coldest in the small hours and warmest in the afternoon', () => {
  const course = day();
  const coldest = course.reduce((a, b) => (b.celsius < a.celsius ? b : a));
  const warmest = course.reduce((a, b) => (b.celsius > a.celsius ? b : a));
  expect(Math.abs(coldest.hour - 3)).toBeLessThan(3);
  expect(Math.abs(warmest.hour - 15)).toBeLessThan(3);
  expect(coldest.celsius).toBeGreaterThan(20);
  expect(warmest.celsius).toBeLessThan(35);
});

test('the dock is busiest late in the afternoon and quiet at night', () => {
  expect(dockUse(17.5)).toBeGreaterThan(0.95);
  expect(dockUse(3)).toBeLessThan(0.02);
  expect(dockUse(7.5)).toBeGreaterThan(0.3);
});

test('a drift keeps its spread whatever the steps, and forgets itself in its time', () => {
  const spread = (step: number): number => {
    const drift = new Drift(2, 30, createRandom(9, String(step)));
    let sum = 0;
    const n = 40_000;
    for (let at = 0; at < n; at += 1) {
      drift.advance(step);
      sum += drift.value ** 2;
    }
    return Math.sqrt(sum / n);
  };
  expect(Math.abs(spread(1) - 2)).toBeLessThan(0.25);
  expect(Math.abs(spread(60) - 2)).toBeLessThan(0.1);
});
