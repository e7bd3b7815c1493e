/** A bus that changes its source is an event that names both, in words and by their ids. */
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { createWatch, readBoat } from '../../../rules/index.ts';

const url = new URL('../../fixtures/boats/small.yaml', import.meta.url);

test('from shore to generator', () => {
  const { boat } = readBoat(readFileSync(url, 'utf8'), 'small');
  if (!boat) throw new Error('the fixture is not usable');
  const watch = createWatch(boat);
  const onShore = {
    'inlet-volts': 119,
    'generator-volts': 0,
    'inlet-amps': 9,
    'generator-amps': 0,
  };
  const onGenerator = { ...onShore, 'inlet-volts': 0, 'inlet-amps': 0 };
  const changes = Array.from({ length: 120 }, (_, second) => {
    const isLater = second >= 60;
    const readings = isLater
      ? { ...onGenerator, 'generator-volts': 121, 'generator-amps': 9, 'panel-volts': 120.6 }
      : { ...onShore, 'panel-volts': 118.8 };
    for (const [pointId, value] of Object.entries({ ...readings, 'panel-amps': 9 })) {
      watch.take({ pointId, value, atMs: second * 1000 });
    }
    return watch.evaluate(second * 1000).panelEvents;
  }).flat();
  const changed = changes.filter(({ type }) => type === 'source changed');
  expect(changed).toHaveLength(1);
  expect(changed[0]).toMatchObject({
    part: 'panel',
    feed: { by: 'generator', before: 'inlet' },
  });
});
