/**
 * The whole way, nothing scripted in between: a general-purpose broker and an open marine data peer
 * outside, the real daemon, the real page in a real browser.
 */
import mqtt from 'mqtt';
import { describe, expect, onTestFinished, test } from 'vitest';
import type { Daemon } from '../../daemon/daemon.ts';
import { boatAboard, startAboard } from './aboard.ts';
import { assertDelta, assertHello } from '../daemon/intake/marine-schemas.ts';
import { mosquittoPub, startMosquitto } from '../daemon/intake/mosquitto.ts';
import { startMarinePeer } from '../scenarios/marine-peer.ts';
import { openWindow } from './chromium.ts';
import type { Window } from './chromium.ts';

async function look(daemon: Daemon, width = 820): Promise<Window> {
  const window = await openWindow({ width });
  onTestFinished(() => window.close());
  await window.page.goto(daemon.address);
  return window;
}

/** Does `act` again and again until the text is on the page: a sensor speaks more than once. */
async function untilShown(window: Window, text: string, act: () => Promise<void>): Promise<void> {
  for (let tries = 0; tries < 60; tries++) {
    await act();
    const shown = window.page.getByText(text).first();
    if (
      await shown.waitFor({ timeout: 500 }).then(
        () => true,
        () => false,
      )
    )
      return;
  }
  throw new Error(`"${text}" never came to the page`);
}

describe('from outside to the page', () => {
  test('mosquitto_pub reaches it through an outside mosquitto', async () => {
    const mosquitto = await startMosquitto();
    const daemon = await startAboard(boatAboard('../fixtures/boats/small.yaml'), {
      mqtt: { broker: `mqtt://127.0.0.1:${mosquitto.port}` },
    });
    const window = await look(daemon);
    await untilShown(window, '117 V', () =>
      mosquittoPub(mosquitto.port, '-t', 't/inlet', '-m', '{"v":117.2,"a":12.3}'),
    );
    await window.page.getByText('12.3 A').first().waitFor();
    expect(daemon.health().intake.mqtt).toMatchObject({ mode: 'client', isConnected: true });
  });

  test('an open marine data peer reaches it, with frames that keep the published schema', async () => {
    const self = 'vessels.urn:mrn:signalk:uuid:6f0c2a0e-5d3c-4a57-8c1e-0d9a5b8f7e21';
    assertHello({ version: '1.8.2', roles: ['master', 'main'], self });
    const peer = await startMarinePeer(self);
    onTestFinished(() => peer.close());
    const daemon = await startAboard(boatAboard('../../simulator/boats/willow-dipper.yaml'), {
      mqtt: { broker: 'embedded', port: 0 },
      marineDataUrl: peer.url,
    });
    const window = await look(daemon);
    await untilShown(window, '26.61 V', async () => {
      const delta = {
        context: self,
        updates: [
          {
            $source: 'shunt.1',
            timestamp: new Date().toISOString(),
            values: [{ path: 'electrical.batteries.service.voltage', value: 26.61 }],
          },
        ],
      };
      assertDelta(delta);
      peer.send(JSON.stringify(delta));
    });
    expect(daemon.health().intake.marineData?.readings).toBeGreaterThan(0);
  });

  test('a warning appears, is acknowledged on the page, and the record knows by whom', async () => {
    const daemon = await startAboard(boatAboard('../fixtures/boats/restless.yaml'), {
      mqtt: { broker: 'embedded', port: 0 },
    });
    const sensor = await mqtt.connectAsync(`mqtt://${daemon.mqttAddress}`);
    onTestFinished(() => sensor.endAsync(true));
    const window = await look(daemon, 360);
    await window.page.getByText('No open alerts.').waitFor();

    const say = async (boiler: number): Promise<void> => {
      const payload = { pump: 0, boiler, kettle: 0, heater: 0 };
      await sensor.publishAsync('loads', JSON.stringify(payload), { qos: 1 });
    };
    await untilShown(window, 'Boiler runs without Pump', () => say(8));
    const card = window.page.locator('article.alert');
    expect(await card.getAttribute('data-phase')).toBe('unacknowledged');

    await card.getByRole('button', { name: /^Acknowledge/ }).click();
    const dialog = window.page.getByRole('dialog', { name: 'Who acknowledges?' });
    await dialog.getByLabel('Your name').fill('Wren');
    await dialog.getByRole('button', { name: 'Acknowledge' }).click();
    await card.getByText('acknowledged by Wren', { exact: true }).waitFor();

    await untilShown(window, 'No open alerts.', () => say(0));
    const answer = await fetch(`${daemon.address}/api/v1/alerts?phase=past`);
    const { alerts } = (await answer.json()) as { alerts: { acknowledgedBy: string }[] };
    expect(alerts.map((alert) => alert.acknowledgedBy)).toEqual(['Wren']);
    expect(window.errors).toEqual([]);
  });

  test('whether the kettle can go on follows what the sensors say', async () => {
    const daemon = await startAboard(boatAboard('../../simulator/boats/sable-plover.yaml'), {
      mqtt: { broker: 'embedded', port: 0 },
    });
    const sensor = await mqtt.connectAsync(`mqtt://${daemon.mqttAddress}`);
    onTestFinished(() => sensor.endAsync(true));
    const window = await look(daemon);
    const send = (topic: string, payload: object) =>
      sensor.publishAsync(topic, JSON.stringify(payload), { qos: 1 });
    const source = (volts: number, amps: number) => ({
      l1: { v: volts, a: amps },
      l2: { v: volts, a: 0 },
      hz: volts === 0 ? 0 : 60,
    });
    /** On the bow inlet, with so much on L1 behind the house bus. */
    const carry = async (amps: number): Promise<void> => {
      for (const dead of ['stern', 'large', 'small']) await send(`panel/${dead}`, source(0, 0));
      await send('panel/bow', source(120, amps));
      const bus = (own: number) => [
        { v: 120, a: own },
        { v: 120, a: 0 },
      ];
      await send('panel/climate', { bus: bus(0), circuits: [0, 0, 0, 0, 0, 0] });
      await send('panel/house', { bus: bus(amps), circuits: [0, 0, 0, 0, 0, 0, 0] });
    };
    const pile = (name: string) => window.page.locator(`[data-pile="${name}"]`);
    const untilIn = async (name: string, amps: number): Promise<string> => {
      for (let tries = 0; tries < 60; tries += 1) {
        await carry(amps);
        const found = pile(name).locator('li', { hasText: 'Kettle' });
        if ((await found.count()) > 0) return found.innerText();
        await new Promise((resolve) => void setTimeout(resolve, 500));
      }
      throw new Error(`The kettle never came to "${name}".`);
    };
    // 32 A are kept for two air conditioners and the water heater: 42.5 A of 50 A with the kettle.
    expect(await untilIn('fits', 0.2)).toBe('Kettle');
    // 15 A more are too much, unless one of them stays off.
    expect(await untilIn('fits-if-off', 8)).toMatch(/^Kettle if .+ (is|are) off$/);
    expect(await untilIn('does-not-fit', 45)).toBe('Kettle');
    expect(window.errors).toEqual([]);
  }, 120_000);
});
