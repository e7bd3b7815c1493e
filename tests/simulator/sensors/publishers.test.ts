import { describe, expect, test } from 'vitest';
import type { SensorAction } from '../../../simulator/action.ts';
import { createRandom } from '../../../simulator/random.ts';
import { Delivery, PublisherLife } from '../../../simulator/sensors/publisher-life.ts';
import {
  EVERYDAY_SENSORS,
  HARSH_SENSORS,
  PERFECT_SENSORS,
} from '../../../simulator/sensors/sensor-faults.ts';
import type { SensorFaults } from '../../../simulator/sensors/sensor-faults.ts';
import { Sensors } from '../../../simulator/sensors/sensors.ts';
import type { Boat } from '../../../rules/index.ts';
import { Bench, sablePlover, willowDipper } from '../demo-boats.ts';
import { valueAt } from '../payload.ts';

const DAY_MS = 86_400_000;

function life(faults: SensorFaults, periodMs = 1000): PublisherLife {
  return new PublisherLife(periodMs, faults, createRandom(3, 'life'));
}

describe('the life of a publisher', () => {
  test('keeps its period on average; jitter does not add up', () => {
    const one = life(EVERYDAY_SENSORS);
    const first = one.dueMs;
    const gaps: number[] = [];
    for (let at = 0; at < 5000; at += 1) {
      const before = one.dueMs;
      one.next();
      gaps.push(one.dueMs - before);
    }
    expect(Math.abs(one.dueMs - first - 5_000_000)).toBeLessThan(200);
    expect(Math.min(...gaps)).toBeGreaterThanOrEqual(800);
    expect(Math.max(...gaps)).toBeLessThanOrEqual(1200);
    expect(new Set(gaps).size).toBeGreaterThan(50);
  });

  test('loses 0.5 %, repeats 0.1 %, delays 0.2 % of its messages', () => {
    const one = life(EVERYDAY_SENSORS);
    const count = { sent: 0, lost: 0, 'sent twice': 0, 'sent late': 0 };
    const n = 200_000;
    for (let at = 0; at < n; at += 1) count[one.next()] += 1;
    // Four standard deviations of a Poisson count.
    const isNear = (found: number, ratio: number): void => {
      expect(Math.abs(found - n * ratio)).toBeLessThan(4 * Math.sqrt(n * ratio));
    };
    isNear(count.lost, 0.005);
    isNear(count['sent twice'], 0.001);
    isNear(count['sent late'], 0.002);
  });

  test('on a bad network it has bursts of silence of 5 s to 10 min, and freezes', () => {
    const one = life({ ...HARSH_SENSORS, lossRatio: 0, rebootsPerDay: 0 });
    const silences: number[] = [];
    let silence = 0;
    let frozen = 0;
    while (one.dueMs < 20 * DAY_MS) {
      if (one.isFrozen(one.dueMs)) frozen += 1;
      if (one.next() === 'lost') silence += 1;
      else {
        if (silence > 0) silences.push(silence);
        silence = 0;
      }
    }
    expect(silences.length).toBeGreaterThan(60);
    expect(silences.length).toBeLessThan(200);
    expect(Math.min(...silences)).toBeGreaterThanOrEqual(4);
    // Two bursts may overlap.
    expect(Math.max(...silences)).toBeLessThan(1300);
    expect(frozen).toBeGreaterThan(0);
  });

  test('a reboot is 20 s of silence and a new uptime', () => {
    const one = life(PERFECT_SENSORS);
    while (one.dueMs < 60_000) one.next();
    expect(one.uptimeSeconds(60_000)).toBeGreaterThan(3600);
    one.suffer('reboots', 60_000);
    let lost = 0;
    while (one.dueMs < 120_000) if (one.next() === 'lost') lost += 1;
    expect(lost).toBe(20);
    expect(one.uptimeSeconds(120_000)).toBe(40);
  });
});

test('a late message goes out after the next one, a lost one never', () => {
  const delivery = new Delivery<number>();
  const said = [
    ...delivery.deliver('sent', 1),
    ...delivery.deliver('sent late', 2),
    ...delivery.deliver('lost', 3),
    ...delivery.deliver('sent', 4),
    ...delivery.deliver('sent twice', 5),
  ];
  expect(said).toEqual([1, 4, 2, 5, 5]);
});

function sensorsOf(boat: Boat, faults = PERFECT_SENSORS): Sensors {
  const { vessel } = new Bench(boat, 12).pass(30);
  return new Sensors(vessel, { faults, seed: 1, context: 'vessels.x', epochMs: 0 });
}

describe('the publishers of a boat', () => {
  test('every MQTT point of both boats stands where its pointer says, as a plain number or word', () => {
    for (const boat of [sablePlover, willowDipper]) {
      const sensors = sensorsOf(boat);
      sensors.speakUntil(20_000);
      const { mqtt } = sensors.takeMessages();
      for (const { id, address } of boat.points.values()) {
        if (address.via !== 'mqtt') continue;
        const { topic, pointer } = address;
        const { payload = '' } = mqtt.find((message) => message.topic === topic) ?? {};
        const sent = pointer === undefined ? payload : String(valueAt(payload, pointer));
        expect(sent, id).toMatch(/^(?:[\d.]+|ON|OFF)$/);
        const isQuoted = pointer !== undefined && typeof valueAt(payload, pointer) === 'string';
        expect(isQuoted, id).toBe(false);
      }
    }
  });

  test('arrays in a payload are arrays', () => {
    const sensors = sensorsOf(sablePlover);
    sensors.speakUntil(3000);
    const { payload = '' } =
      sensors.takeMessages().mqtt.find(({ topic }) => topic === 'panel/house') ?? {};
    expect(Array.isArray(valueAt(payload, '/bus'))).toBe(true);
    expect(Array.isArray(valueAt(payload, '/circuits'))).toBe(true);
  });

  test('only topics of words are retained', () => {
    const sensors = sensorsOf(willowDipper);
    sensors.speakUntil(30_000);
    const { mqtt } = sensors.takeMessages();
    const retained = new Set(mqtt.filter(({ retain }) => retain).map(({ topic }) => topic));
    expect([...retained]).toEqual(['boat/dc/isolator']);
  });

  const suffer = (fault: SensorAction['fault']) => {
    const sensors = sensorsOf(sablePlover, EVERYDAY_SENSORS);
    sensors.speakUntil(5000);
    sensors.takeMessages();
    sensors.suffer({ do: 'sensor', publisher: 'panel/house', fault }, 5000);
    sensors.speakUntil(15_000);
    return { sensors, house: sensors.takeMessages().mqtt.filter(isHouse) };
  };
  const isHouse = ({ topic }: { topic: string }): boolean => topic === 'panel/house';

  test('silent: nothing is said until it is well again', () => {
    const { sensors, house } = suffer('silent');
    expect(house).toEqual([]);
    sensors.suffer({ do: 'sensor', publisher: 'panel/house', fault: 'well' }, 15_000);
    sensors.speakUntil(20_000);
    expect(sensors.takeMessages().mqtt.filter(isHouse).length).toBeGreaterThan(2);
  });

  test('dies: its last will says that it has no values, then silence', () => {
    const { house } = suffer('dies');
    expect(house).toHaveLength(1);
    expect(valueAt(house[0]?.payload ?? '', '/bus/0/v')).toBeNull();
    expect(house[0]?.payload).not.toMatch(/\d\.\d/);
  });

  test('frozen: the same values again and again, noise and all', () => {
    const { house } = suffer('frozen');
    const values = house.map(({ payload }) => payload.replace(/"uptime":\d+/, ''));
    expect(values.length).toBeGreaterThan(7);
    expect(new Set(values).size).toBe(1);
  });

  test('a publisher that nobody has is a mistake of the scenario', () => {
    const sensors = sensorsOf(sablePlover);
    expect(() => sensors.suffer({ do: 'sensor', publisher: 'moon', fault: 'silent' }, 0)).toThrow(
      /moon/,
    );
  });
});
