/** Silencing, shelving and finding an alert again, over the real daemon: what the page says is on record. */
import mqtt from 'mqtt';
import { expect, onTestFinished, test } from 'vitest';
import { boatAboard, startAboard } from './aboard.ts';
import { openWindow } from './chromium.ts';

test('an alarm is silenced, shelved, found, taken out of service and put back, with names on record', async () => {
  const daemon = await startAboard(boatAboard('../fixtures/boats/restless.yaml'));
  const sensor = await mqtt.connectAsync(`mqtt://${daemon.mqttAddress}`);
  onTestFinished(() => sensor.endAsync(true));
  const window = await openWindow({ width: 360, motion: 'reduce' });
  onTestFinished(() => window.close());
  await window.page.goto(daemon.address);
  await window.page.getByText('No open alerts.').waitFor();

  const say = () =>
    sensor.publishAsync('loads', JSON.stringify({ pump: 0, boiler: 8, kettle: 0, heater: 0 }), {
      qos: 1,
    });
  const card = window.page.locator('article.alert', { hasText: 'Boiler runs without Pump' });
  const speaking = setInterval(() => void say(), 1_000);
  onTestFinished(() => clearInterval(speaking));
  await card.waitFor({ timeout: 60_000 });

  const press = (name: string) => card.getByRole('button', { name: `${name}: ` }).click();
  const dialog = window.page.getByRole('dialog');
  await press('Silence');
  await dialog.getByLabel('Your name').fill('Wren');
  await dialog.getByRole('button', { name: 'Silence' }).click();
  await card.getByText('Silenced by Wren until').waitFor();
  expect(await card.getAttribute('data-waking')).toBe('false');

  await press('Shelve');
  await dialog.getByRole('radio', { name: '8 hours' }).check();
  await dialog.getByRole('button', { name: 'Shelve' }).click();
  // Found again from the view that one looks at anyway.
  const count = window.page.getByRole('link', { name: /^1 alert shelved/ });
  await count.waitFor();
  expect(await card.count()).toBe(0);
  await count.click();
  const shelf = window.page.locator('details.put-away', { hasText: 'Shelved (1)' });
  await shelf.locator('summary').first().click();
  await card.getByText(/^Shelved until .+, by Wren at \d\d:\d\d$/).waitFor();
  await press('Take from the shelf');
  await card.getByText('not acknowledged', { exact: true }).waitFor();
  expect(await shelf.count()).toBe(0);

  await press('Take out of service');
  await dialog.getByLabel('Reason').fill('the pump is ashore');
  await dialog.getByLabel('Date and time').fill('2099-01-01T12:00');
  await dialog.getByRole('button', { name: 'Take out of service' }).click();
  // The boat's own words.
  await dialog.getByText('The review must come within 90 days.').waitFor();
  await dialog.getByRole('radio', { name: '90 days' }).check();
  await dialog.getByRole('button', { name: 'Take out of service' }).click();
  const retired = window.page.locator('details.put-away', { hasText: 'Out of service (1)' });
  await retired.locator('summary').first().click();
  await card.getByText('by Wren: the pump is ashore').waitFor();
  await press('Put back in service');
  await card.getByText('not acknowledged', { exact: true }).waitFor();
  await press('Acknowledge');
  await card.getByText('acknowledged by Wren', { exact: true }).waitFor();

  const list = await fetch(`${daemon.address}/api/v1/alerts?phase=open`);
  const { alerts } = (await list.json()) as { alerts: { id: string }[] };
  const answer = await fetch(
    `${daemon.address}/api/v1/alerts/${encodeURIComponent(alerts[0]?.id ?? '')}`,
  );
  const { events } = (await answer.json()) as { events: { type: string; actor: string }[] };
  const done = events.filter(({ actor }) => actor === 'Wren').map(({ type }) => type);
  expect(done).toEqual([
    'silenced',
    'shelved',
    'unshelved',
    'out of service',
    'back in service',
    'acknowledged',
  ]);
  expect(window.errors.filter((error) => !error.includes('409'))).toEqual([]);
}, 180_000);
