import schema from '@signalk/signalk-schema';
import { describe, expect, test } from 'vitest';
import { readFrame, type MarineFrame } from '../../../daemon/intake/marine-data-frame.ts';
import { assertDelta } from './marine-schemas.ts';

const read = (json: unknown): MarineFrame => readFrame(Buffer.from(JSON.stringify(json)));

/** The source of the one update of a delta that the published schema accepts. */
function sourceOf(update: Record<string, unknown>): unknown {
  const delta = { context: 'vessels.self', updates: [{ ...update, values: [] }] };
  const frame = read(delta);
  return frame.kind === 'delta' ? frame.updates[0]?.source : frame;
}

describe('the source of an update', () => {
  test.each([
    [{ label: 'shunt', type: 'canbus', src: '12' }],
    [{ label: 'shunt', type: 'NMEA2000', src: '12', canName: 'c0e1' }],
    [{ label: 'gps', type: 'NMEA0183', talker: 'GP' }],
    [{ label: 'panel' }],
  ])('%j is named as the published schema’s own code names it', (source) => {
    expect(sourceOf({ source })).toBe(schema.getSourceId(source));
  });

  test('is $source where it is given, and nothing where nothing is', () => {
    expect(sourceOf({ $source: 'shunt.1' })).toBe('shunt.1');
    expect(sourceOf({})).toBe('');
    expect(sourceOf({ source: 'text' })).toBe('');
  });
});

describe('the time of an update', () => {
  const timeOf = (timestamp: unknown): unknown => {
    const frame = read({ updates: [{ timestamp, values: [] }] });
    return frame.kind === 'delta' ? frame.updates[0]?.timestampMs : frame;
  };

  // The examples of RFC 3339 section 5.8, from memory, with their instants.
  test.each([
    ['1985-04-12T23:20:50.52Z', Date.UTC(1985, 3, 12, 23, 20, 50, 520)],
    ['1996-12-19T16:39:57-08:00', Date.UTC(1996, 11, 20, 0, 39, 57)],
    ['1937-01-01T12:00:27.87+00:20', Date.UTC(1937, 0, 1, 11, 40, 27, 870)],
  ])('%s', (timestamp, atMs) => {
    expect(timeOf(timestamp)).toBe(atMs);
  });

  test.each(['garbageZ', '2026-06-01', '2026-13-01T00:00:00Z', '1748779200', 5, null, {}])(
    '%j is none',
    (timestamp) => {
      expect(timeOf(timestamp)).toBeNull();
    },
  );
});

test('a delta as the standard has it comes through whole', () => {
  const delta = {
    context: 'vessels.urn:mrn:signalk:uuid:6b0e776f-811a-4b35-980e-b93405371bc5',
    updates: [
      {
        $source: 'shunt.1',
        timestamp: '2026-06-01T12:00:00.000Z',
        values: [
          { path: 'electrical.batteries.house.voltage', value: 12.7 },
          { path: 'electrical.batteries.house.current', value: null },
        ],
      },
      { $source: 'panel.2', values: [{ path: 'electrical.switches.a.state', value: true }] },
    ],
  };
  assertDelta(delta);
  expect(read(delta)).toEqual({
    kind: 'delta',
    context: delta.context,
    refusals: [],
    updates: [
      {
        source: 'shunt.1',
        timestampMs: Date.UTC(2026, 5, 1, 12),
        values: [
          { path: 'electrical.batteries.house.voltage', value: 12.7 },
          { path: 'electrical.batteries.house.current', value: null },
        ],
      },
      {
        source: 'panel.2',
        timestampMs: null,
        values: [{ path: 'electrical.switches.a.state', value: true }],
      },
    ],
  });
});
