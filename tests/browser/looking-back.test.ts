/** History and report over the real daemon: what a sensor said is drawn, added up and exported. */
import mqtt from 'mqtt';
import { expect, onTestFinished, test } from 'vitest';
import { boatAboard, startAboard } from './aboard.ts';
import { openWindow } from './chromium.ts';

/** A daemon with a folder of its own and a sensor at its broker. */
async function start() {
  const boat = boatAboard('../fixtures/boats/small.yaml');
  const daemon = await startAboard(boat);
  const sensor = await mqtt.connectAsync(`mqtt://${daemon.mqttAddress}`);
  onTestFinished(() => sensor.endAsync(true));
  const say = (volts: number, amps: number) =>
    sensor.publishAsync('t/inlet', JSON.stringify({ v: volts, a: amps }), { qos: 1 });
  return { daemon, boat, say };
}

test('what the inlet gave is on the chart, in the sum, in the file and on paper', async () => {
  const { daemon, boat, say } = await start();
  const window = await openWindow({ width: 1366, motion: 'reduce' });
  onTestFinished(() => window.close());
  await window.page.goto(`${daemon.address}#history`);
  const speaking = setInterval(() => void say(117.2, 12.3), 500);
  onTestFinished(() => clearInterval(speaking));

  // Opened without a choice it draws what the sources give.
  await expect
    .poll(() => new URL(window.page.url()).hash, { timeout: 20_000 })
    .toContain('points=inlet-amps');
  await window.page.getByRole('button', { name: '15 min' }).click();
  const words = async () =>
    (await window.page.locator('.key li').first().innerText()).replaceAll('\u00a0', ' ');
  await expect.poll(words, { timeout: 20_000 }).toContain('mean 12.3 A, greatest 12.3 A');

  // The store takes a few seconds to write; the sum is of what is on the disk.
  const inlet = window.page
    .locator('.energy li')
    .filter({ hasText: boat.parts.get('inlet')?.label ?? 'Inlet' });
  const addAgain = window.page.getByRole('button', { name: 'Add up anew' });
  await expect
    .poll(
      async () => {
        if (await addAgain.isVisible()) await addAgain.click();
        await window.page.waitForTimeout(500);
        return (await inlet.allInnerTexts()).join(' ');
      },
      { timeout: 40_000 },
    )
    .toMatch(/kWh/);

  const href = await window.page.locator('.exports a').first().getAttribute('href');
  const file = await fetch(new URL(href ?? '', daemon.address));
  expect(file.headers.get('content-type')).toContain('text/csv');
  const [head, ...rows] = (await file.text()).trim().split('\n');
  expect(head).toContain('inlet-amps (A)');
  expect(rows.some((row) => /(^|,)12\.3(,|$)/.test(row))).toBe(true);

  await window.page.goto(`${daemon.address}#report`);
  await window.page.getByRole('table', { name: 'Sources' }).waitFor();
  const paper = (await window.page.locator('.paper').innerText()).replaceAll('\u00a0', ' ');
  expect(paper).toContain(boat.name);
  expect(paper).toContain('No alert stood in this period.');
  expect(await window.page.locator('.problem:not(:empty)').allInnerTexts()).toEqual([]);
  expect(window.errors).toEqual([]);
});
