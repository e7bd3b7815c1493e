/** A sounder, notifications of open marine data and letters over a real broker. */
import { connectAsync } from 'mqtt';
import { describe, expect, it, onTestFinished } from 'vitest';
import { manualClock, startClock } from '../../../daemon/clock.ts';
import { deltaOf, notificationsOf } from '../../../daemon/delivery/marine-notifications.ts';
import { brokerPublisher } from '../../../daemon/delivery/mqtt-publisher.ts';
import { mqttWay } from '../../../daemon/delivery/mqtt-way.ts';
import { soundOf } from '../../../daemon/delivery/sounder.ts';
import { StateTeller } from '../../../daemon/delivery/state-teller.ts';
import { startEmbeddedBroker } from '../../../daemon/intake/embedded-broker.ts';
import { createCounters } from '../../../daemon/intake/intake-counters.ts';
import type { Alert } from '../../../rules/index.ts';
import { assertDelta } from '../intake/marine-schemas.ts';
import { alertWith } from '../store/fixtures.ts';
import { letterWith, START_MS } from './fixtures.ts';

const alarm = (change: Partial<Alert> = {}): Alert =>
  alertWith({ id: 'overload/main-a:L1#1', priority: 'alarm', ...change });
const silenced = { by: 'Wren', atMs: START_MS, untilMs: START_MS + 30_000 };

describe('a sounder', () => {
  it.each([
    ['on', alarm()],
    ['on', alarm({ priority: 'emergency alarm' })],
    ['off', alarm({ priority: 'warning' })],
    ['off', alarm({ phase: 'acknowledged' })],
    ['off', alarm({ phase: 'returned' })],
    ['off', alarm({ silenced })],
    ['off', alarm({ shelved: { ...silenced, priority: 'alarm', isWarned: false } })],
    ['off', alarm({ inFlood: 'flood#2' })],
  ] as const)('is %s', (sound, alert) => {
    expect(soundOf([alert])).toBe(sound);
  });

  it('is off without alerts, and on for one among many', () => {
    expect(soundOf([])).toBe('off');
    expect(soundOf([alarm({ phase: 'acknowledged' }), alarm()])).toBe('on');
  });
});

describe('notifications of open marine data', () => {
  it('are deltas of the published schema, with the states of the specification', () => {
    const priorities = ['emergency alarm', 'alarm', 'warning', 'caution'] as const;
    const alerts = priorities.map((priority, index) =>
      alarm({ priority, id: `r/${index}`, rule: `rule ${index}`, title: 'A title', doThis: 'Do.' }),
    );
    const told = notificationsOf(alerts, [], START_MS);
    assertDelta(deltaOf(told, START_MS));
    expect(told.map(({ path }) => path)).toEqual(
      [0, 1, 2, 3].map((index) => `notifications.electrical.panelward.rule-${index}.main-a.L1`),
    );
    expect(told.map(({ value }) => value.state)).toEqual(['emergency', 'alarm', 'warn', 'alert']);
    expect(told[0]?.value).toMatchObject({ method: ['visual', 'sound'], message: 'A title. Do.' });
  });

  it('make no sound once acknowledged, and are normal once over', () => {
    const first = notificationsOf([alarm()], [], START_MS);
    const [quiet] = notificationsOf([alarm({ phase: 'acknowledged' })], first, START_MS + 1000);
    expect(quiet?.value).toMatchObject({ state: 'alarm', method: ['visual'] });
    const over = notificationsOf([], first, START_MS + 2000);
    assertDelta(deltaOf(over, START_MS + 2000));
    expect(over).toMatchObject([{ path: first[0]?.path, value: { state: 'normal', method: [] } }]);
  });
});

describe('over a broker', () => {
  async function aboard() {
    const clock = startClock();
    const log = { info: () => {}, warn: () => {} };
    const counters = createCounters(clock, log);
    const onMessage = (): void => {};
    const broker = await startEmbeddedBroker({
      host: '127.0.0.1',
      port: 0,
      clock,
      counters,
      log,
      onMessage,
    });
    if ('problem' in broker) throw new Error(broker.problem);
    onTestFinished(() => broker.stop());
    const url = `mqtt://${broker.address}`;
    const listener = await connectAsync(url);
    onTestFinished(() => listener.endAsync(true));
    const heard: [string, string, boolean][] = [];
    listener.on('message', (topic, payload, { retain }) => {
      heard.push([topic, payload.toString(), retain]);
    });
    return { publish: brokerPublisher({ url: () => url }), listener, heard, clock };
  }

  const soon = (): AbortSignal => AbortSignal.timeout(5000);

  it('letters go as JSON', async () => {
    const { publish, listener, heard } = await aboard();
    await listener.subscribeAsync('boat/letters');
    const way = mqttWay('bus', 'boat/letters', publish);
    expect(await way.send(letterWith('a'), soon())).toEqual({ answer: 'the broker has it' });
    await expect.poll(() => heard.length).toBe(1);
    expect(JSON.parse(heard[0]?.[1] ?? '')).toMatchObject({ key: 'a', priority: 'alarm' });
  });

  it('a sounder hears of an alarm, and whoever comes later too; silence ends it', async () => {
    const { publish, listener, heard, clock: linkClock } = await aboard();
    await listener.subscribeAsync('boat/sounder');
    let alerts: Alert[] = [alarm()];
    const clock = manualClock(START_MS);
    const teller = new StateTeller({
      way: { id: 'lamp', kind: 'sounder', topic: 'boat/sounder', publish },
      alerts: () => alerts,
      clock,
      linkClock,
      random: () => 0.5,
      utcNowMs: () => clock.nowMs(),
    });
    onTestFinished(() => teller.stop());
    teller.look();
    await expect.poll(() => heard).toEqual([['boat/sounder', 'on', false]]);
    await expect.poll(() => teller.lastSentAtMs).toBe(START_MS);
    teller.look();
    alerts = [alarm({ silenced })];
    teller.look();
    await expect.poll(() => heard.at(-1)).toEqual(['boat/sounder', 'off', false]);
    expect(heard).toHaveLength(2);
    await listener.unsubscribeAsync('boat/sounder');
    await listener.subscribeAsync('boat/sounder');
    await expect.poll(() => heard.at(-1)).toEqual(['boat/sounder', 'off', true]);
  });

  it('that is not there, a letter waits', async () => {
    const publish = brokerPublisher({ url: () => 'mqtt://127.0.0.1:1' });
    const outcome = await publish({ topic: 'a', payload: 'b', isRetained: false }, soon());
    expect(outcome).toMatchObject({
      isFinal: false,
      problem: expect.stringMatching(/ECONNREFUSED/),
    });
  });
});
