/** A replay tells what the live watch told, and what a changed boat file would have told. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { compareAlerts, createWatch, readBoat, Replay, toldOf } from '../../../rules/index.ts';
import type { AlertEvent, Boat, Reading } from '../../../rules/index.ts';

const file = new URL('../../fixtures/boats/small.yaml', import.meta.url);
const text = readFileSync(file, 'utf8');
const START = Date.UTC(2026, 6, 1);
const MINUTE = 60_000;
const END = START + 16 * MINUTE;

function boatOf(yaml: string): Boat {
  const { boat } = readBoat(yaml, 'small.yaml');
  if (!boat) throw new Error('the small test boat is not usable');
  return boat;
}

const small = boatOf(text);

/** Shore power that goes after three minutes and is back after nine. */
function sixteenMinutes(): Reading[] {
  const readings: Reading[] = [];
  for (let atMs = START; atMs < END; atMs += 1000) {
    const minutes = (atMs - START) / MINUTE;
    const isOn = minutes < 3 || minutes >= 9;
    const noise = ((atMs / 1000) % 7) * 0.05;
    const say = (pointId: string, value: number): void =>
      void readings.push({ pointId, value, atMs });
    say('inlet-volts', isOn ? 119 + noise : 0);
    say('inlet-amps', isOn ? 12 + noise : 0);
    say('panel-volts', isOn ? 118 + noise : 0);
    say('panel-amps', isOn ? 12 + noise : 0);
    say('heater-amps', isOn ? 12 + noise : 0);
    say('pump-amps', 0);
    say('air-amps', 0);
    say('generator-volts', 0);
    say('generator-amps', 0);
  }
  return readings;
}

function live(boat: Boat, readings: readonly Reading[], fromMs = START): AlertEvent[] {
  const watch = createWatch(boat);
  const events: AlertEvent[] = [];
  let nextMs = START;
  for (const reading of readings) {
    for (; nextMs < reading.atMs; nextMs += 1000)
      events.push(...watch.evaluate(nextMs).alertEvents);
    watch.take(reading);
  }
  for (; nextMs < END; nextMs += 1000) events.push(...watch.evaluate(nextMs).alertEvents);
  return events.filter(({ atMs }) => atMs >= fromMs);
}

function replayed(
  boat: Boat,
  own: Partial<ConstructorParameters<typeof Replay>[1]> = {},
  of = sixteenMinutes(),
) {
  const replay = new Replay(boat, {
    fromMs: START,
    toMs: END,
    restartsAtMs: [],
    panelEvents: [],
    ...own,
  });
  for (const reading of of) replay.take(reading);
  return { events: replay.finish(), passedOver: replay.passedOver };
}

/** Live, the pump's clamp says itself that it has no value, or says nothing; the record has a gap. */
function liveWithout(boat: Boat, from: number, to: number, says: boolean): AlertEvent[] {
  const watch = createWatch(boat);
  const events: AlertEvent[] = [];
  let nextMs = START;
  for (const { pointId, atMs, value } of sixteenMinutes()) {
    for (; nextMs < atMs; nextMs += 1000) events.push(...watch.evaluate(nextMs).alertEvents);
    const isSilent = pointId === 'pump-amps' && atMs >= from && atMs < to;
    if (!isSilent) watch.take({ pointId, atMs, value });
    else if (says) watch.take({ pointId, atMs, isSilent: true });
  }
  for (; nextMs < END; nextMs += 1000) events.push(...watch.evaluate(nextMs).alertEvents);
  return events;
}

describe("a sensor's own silence", () => {
  const [from, to] = [START + 4 * MINUTE, START + 12 * MINUTE];
  const rest = sixteenMinutes().filter(
    ({ pointId, atMs }) => pointId !== 'pump-amps' || atMs < from || atMs >= to,
  );
  const ofSensors = (events: readonly AlertEvent[]) =>
    toldOf(events).filter(({ key }) => key.startsWith('sensor-silent'));

  it('is a gap in the record and comes out as it did live', () => {
    const { events } = replayed(small, {}, rest);
    expect(events).toEqual(liveWithout(small, from, to, false));
    expect(ofSensors(events)).toHaveLength(1);
  });

  it('that it told itself comes out as well, later by no more than what goes stale', () => {
    const [then] = ofSensors(liveWithout(small, from, to, true));
    const [now] = ofSensors(replayed(small, {}, rest).events);
    const laterMs = (now?.raisedAtMs ?? NaN) - (then?.raisedAtMs ?? NaN);
    expect(now?.key).toBe(then?.key);
    expect(laterMs).toBeGreaterThanOrEqual(0);
    expect(laterMs).toBeLessThanOrEqual(1000 * small.limits.staleSeconds);
  });
});

describe('a replay', () => {
  it('of the same readings on the same boat tells exactly what was told live', () => {
    const { events } = replayed(small);
    expect(events).toEqual(live(small, sixteenMinutes()));
    expect(toldOf(events).map(({ key }) => key)).toContain('shore-power-lost.inlet');
  });

  it('prepares itself before its span and tells nothing of that', () => {
    const fromMs = START + 5 * MINUTE;
    expect(replayed(small, { fromMs }).events).toEqual(live(small, sixteenMinutes(), fromMs));
  });

  it('tells what other limits would have told', () => {
    const weaker = boatOf(
      text.replace(
        'inlet: { kind: shore inlet, label: Inlet, amps: 30 }',
        'inlet: { kind: shore inlet, label: Inlet, amps: 10 }',
      ),
    );
    const pairs = compareAlerts(toldOf(replayed(small).events), toldOf(replayed(weaker).events));
    const added = pairs.filter(({ recorded }) => recorded === null).map(({ key }) => key);
    expect(added.some((key) => key.startsWith('overload.inlet'))).toBe(true);
    expect(pairs.filter(({ replayed: own }) => own === null)).toEqual([]);
  });

  it('hears what people said when they said it', () => {
    const atMs = START + 2 * MINUTE;
    const said = { by: 'Ann', mode: 'away' as const, untilMs: null };
    const panelEvents = [{ atMs, type: 'mode changed' as const, part: '', text: 'Away.', said }];
    const raised = replayed(small, { panelEvents }).events.filter(({ type }) => type === 'raised');
    expect(raised.length).toBeGreaterThan(0);
    expect(raised.every(({ alert }) => alert.mode === 'away')).toBe(true);
  });

  it('says nothing of the hours in which the daemon was off', () => {
    const offFrom = START + 2 * MINUTE;
    const onAgain = START + 14 * MINUTE;
    const heard = sixteenMinutes().filter(({ atMs }) => atMs < offFrom || atMs >= onAgain);
    const events = replayed(small, { restartsAtMs: [onAgain] }, heard).events;
    expect(events.filter(({ atMs }) => atMs > offFrom + 301_000 && atMs < onAgain)).toEqual([]);
    expect(toldOf(events).map(({ key }) => key)).not.toContain('shore-power-lost.inlet');
  });

  it('counts readings of points that the boat file no longer has', () => {
    const fewer = boatOf(text.replace(/^ {2}heater-amps: .*\n/m, ''));
    expect(replayed(fewer).passedOver).toBe(960);
  });

  it('of nothing tells nothing', () => {
    expect(replayed(small, {}, []).events).toEqual([]);
  });
});

describe('two records beside each other', () => {
  const told = (key: string, raisedAtMs: number) => ({
    key,
    priority: 'warning' as const,
    title: key,
    raisedAtMs,
    returnedAtMs: null,
  });

  it('pairs the nearest of one key, each once', () => {
    const [a, b, c] = [told('x', 0), told('x', 100_000), told('x', 110_000)];
    expect(compareAlerts([a, b], [c])).toEqual([
      { key: 'x', recorded: a, replayed: c },
      { key: 'x', recorded: b, replayed: null },
    ]);
  });

  it('does not take one of an hour later for the same', () => {
    const [a, b] = [told('x', 0), told('x', 3_600_000)];
    expect(compareAlerts([a], [b])).toEqual([
      { key: 'x', recorded: a, replayed: null },
      { key: 'x', recorded: null, replayed: b },
    ]);
  });
});
