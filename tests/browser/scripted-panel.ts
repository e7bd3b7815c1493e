/**
 * A panel as the daemon might send it, for tests of the page: an invented split-phase boat at the
 * dock on a warm evening, with some of everything: measured, inferred, stale, never heard.
 */
import type {
  BatteryState,
  BusState,
  Known,
  LegState,
  PanelState,
  PointState,
  SourceState,
} from '../../daemon/api/contract.ts';
import { scriptedCircuits } from './scripted-circuits.ts';
import { inferred, measured, share, stale, unknown } from './scripted-known.ts';

/** 1 July 2026, 18:30 in New York. */
export const EVENING_MS = Date.UTC(2026, 6, 1, 22, 30);

function leg(name: string, volts: Known, amps: Known, ampsRated: number | null): LegState {
  const isKnown = volts.value !== null && amps.value !== null;
  return {
    leg: name,
    live: volts.value === null ? 'unknown' : volts.value > 60 || name === 'DC' ? 'live' : 'dead',
    volts,
    amps,
    watts: isKnown ? inferred((volts.value ?? 0) * (amps.value ?? 0)) : unknown(),
    ampsRated,
    loadRatio: ampsRated === null ? unknown() : share(amps, ampsRated),
    headroomAmps:
      ampsRated === null || amps.value === null
        ? unknown()
        : { ...amps, value: ampsRated - amps.value },
  };
}

function source(
  part: Pick<SourceState, 'id' | 'label' | 'kind' | 'legs'> & Partial<SourceState>,
): SourceState {
  return {
    system: 'ac',
    hertz: unknown(),
    watts: unknown(),
    wattsRated: null,
    loadRatio: unknown(),
    feeds: [],
    feedsIsKnown: true,
    because: [],
    ...part,
  };
}

const SOURCES = (): SourceState[] => [
  source({
    id: 'bow-inlet',
    label: 'Bow inlet',
    kind: 'shore inlet',
    legs: [
      leg('L1', measured(118.4), measured(42.7), 50),
      leg('L2', measured(120.6), measured(21.3), 50),
    ],
    hertz: measured(59.98),
    watts: inferred(7624),
    loadRatio: inferred(0.854),
    feeds: ['climate-bus', 'house-bus'],
    because: [
      'Bow inlet has voltage on both legs.',
      'Climate bus and House bus have voltage, and no other source does.',
    ],
  }),
  source({
    id: 'stern-inlet',
    label: 'Stern inlet',
    kind: 'shore inlet',
    legs: [leg('L1', measured(0.2), measured(0), 50), leg('L2', measured(0.1), measured(0), 50)],
    hertz: unknown(),
    watts: inferred(0),
    loadRatio: inferred(0),
    because: ['Stern inlet has no voltage.'],
  }),
  source({
    id: 'large-generator',
    label: 'Large generator',
    kind: 'generator',
    legs: [leg('L1', measured(0.3), measured(0), 50), leg('L2', measured(0.3), measured(0), 50)],
    wattsRated: 12_000,
    watts: inferred(0),
    loadRatio: inferred(0),
    because: ['Large generator has no voltage.'],
  }),
  source({
    id: 'small-generator',
    label: 'Small generator',
    kind: 'generator',
    legs: [
      leg('L1', stale(0.2, 95_000), stale(0, 95_000), 20.8),
      leg('L2', unknown(), unknown(), 20.8),
    ],
    wattsRated: 5000,
    feedsIsKnown: false,
    because: ['The sensor at the small generator has been silent for more than a minute.'],
  }),
  source({
    id: 'solar-arch',
    label: 'Solar arch',
    kind: 'solar',
    system: 'dc',
    legs: [leg('DC', unknown(), measured(6.4), 35)],
    wattsRated: 480,
    battery: 'house-bank',
  }),
];

function bus(part: Pick<BusState, 'id' | 'label' | 'legs' | 'from'> & Partial<BusState>): BusState {
  return {
    system: 'ac',
    watts: unknown(),
    fedBy: null,
    fedByIsKnown: true,
    feedEvidence: 'inferred',
    unmeteredAmps: [],
    because: [],
    ...part,
  };
}

const BUSES = (): BusState[] => [
  bus({
    id: 'climate-bus',
    label: 'Climate bus',
    from: 'climate-main',
    legs: [
      leg('L1', measured(117.9), measured(31.8), 50),
      leg('L2', measured(120.2), measured(13.4), 50),
    ],
    watts: inferred(5360),
    fedBy: 'bow-inlet',
    unmeteredAmps: [
      { leg: 'L1', amps: inferred(0.3) },
      { leg: 'L2', amps: inferred(0.2) },
    ],
    because: ['Climate bus has voltage, and only Bow inlet can feed it.'],
  }),
  bus({
    id: 'house-bus',
    label: 'House bus',
    from: 'house-main',
    legs: [
      leg('L1', measured(118.1), measured(10.9), 50),
      leg('L2', measured(120.4), stale(7.9, 42_000), 50),
    ],
    watts: unknown(),
    fedBy: 'bow-inlet',
    unmeteredAmps: [
      { leg: 'L1', amps: inferred(0.1) },
      { leg: 'L2', amps: unknown() },
    ],
    because: ['House bus has voltage, and only Bow inlet can feed it.'],
  }),
  bus({
    id: 'dc-bus',
    label: 'DC bus',
    system: 'dc',
    from: 'dc-main',
    legs: [leg('DC', inferred(13.38), unknown(), 150)],
    fedBy: 'house-bank',
  }),
];

const BATTERY = (): BatteryState => ({
  id: 'house-bank',
  label: 'House bank',
  volts: measured(13.38),
  amps: measured(-4.2),
  watts: inferred(-56.2),
  stateOfCharge: measured(0.91, 6_000),
  celsius: unknown(),
  ampHours: 600,
  voltsNominal: 12,
  floorRatio: 0.5,
  hoursLeft: { low: 44, high: 66 },
  hoursLeftBecause:
    'At the pattern of the last hours, 4.6 A on average, from 91 % now down to 50 %.',
  drainAmps: 4.2,
  usualDrainAmps: 4.6,
  lastFullMs: null,
  watchedSinceFullMs: 86_400_000,
  learnedCapacity: null,
});

type PointSketch = [
  string,
  string,
  string | null,
  string,
  number | null,
  PointState['freshness'],
  number,
];

const POINTS: PointSketch[] = [
  ['bow-l1-volts', 'bow-inlet', 'L1', 'volts', 118.4, 'fresh', 400],
  ['bow-l1-amps', 'bow-inlet', 'L1', 'amps', 42.7, 'fresh', 400],
  ['bow-l2-amps', 'bow-inlet', 'L2', 'amps', 21.3, 'fresh', 400],
  ['small-l1-volts', 'small-generator', 'L1', 'volts', 0.2, 'stale', 95_000],
  ['house-l2-amps', 'house-bus', 'L2', 'amps', 7.9, 'stale', 42_000],
  ['saloon-outlets-amps', 'saloon-outlets', 'L2', 'amps', null, 'never', 0],
  ['refrigerator-amps', 'refrigerator', 'L2', 'amps', 2.2, 'fresh', 700],
  ['house-bank-volts', 'house-bank', null, 'volts', 13.38, 'fresh', 900],
  ['house-bank-charge', 'house-bank', null, 'stateOfCharge', 0.91, 'fresh', 6_000],
  ['solar-amps', 'solar-arch', null, 'amps', 6.4, 'restored', 900_000],
];

const UNITS: Record<string, string> = { volts: 'V', amps: 'A', stateOfCharge: '0..1' };

export const SCRIPTED_POINTS: PointState[] = POINTS.map(
  ([id, of, legName, quantity, value, freshness, ageMs]) => ({
    id,
    of,
    leg: legName,
    quantity,
    unit: UNITS[quantity] ?? '',
    value,
    freshness,
    ageMs: freshness === 'never' ? null : ageMs,
    expectedEveryMs: quantity === 'stateOfCharge' ? 10_000 : 1000,
  }),
);

/** The panel at one instant; pass parts to have them otherwise. */
export function scriptedPanel(atMs: number, parts: Partial<PanelState> = {}): PanelState {
  return {
    boat: 'Sable Plover',
    atMs,
    sources: SOURCES(),
    selectors: [
      {
        id: 'shore-selector',
        label: 'SHORE',
        position: 'BOW',
        evidence: 'inferred',
        possible: ['BOW'],
        positions: [
          { name: 'BOW', from: 'bow-inlet' },
          { name: 'OFF', from: null },
          { name: 'STERN', from: 'stern-inlet' },
        ],
        because: ['It stands on BOW, because House bus has voltage and Stern inlet has none.'],
      },
      {
        id: 'supply-selector',
        label: 'SUPPLY',
        position: 'SHORE',
        evidence: 'inferred',
        possible: ['SHORE'],
        positions: [
          { name: 'SHORE', from: 'shore-selector' },
          { name: 'OFF', from: null },
          { name: 'GENERATOR', from: 'large-generator' },
        ],
        because: [
          'It stands on SHORE, because Climate bus has voltage and Large generator has none.',
        ],
      },
      {
        id: 'house-selector',
        label: 'HOUSE',
        position: null,
        evidence: 'unknown',
        possible: ['SUPPLY', 'SMALL GENERATOR'],
        positions: [
          { name: 'SUPPLY', from: 'supply-selector' },
          { name: 'OFF', from: null },
          { name: 'SMALL GENERATOR', from: 'small-generator' },
        ],
        lastPosition: 'SUPPLY',
        because: ['The readings fit as well if it should stand on SUPPLY or SMALL GENERATOR.'],
      },
    ],
    mainSwitches: [
      {
        id: 'climate-main',
        label: 'CLIMATE MAIN',
        position: 'closed',
        evidence: 'inferred',
        from: 'supply-selector',
        breaker: { ampsRated: 50, kind: 'UL 489' },
        because: ['It is closed, because Climate bus has voltage.'],
      },
      {
        id: 'house-main',
        label: 'HOUSE MAIN',
        position: 'closed',
        evidence: 'inferred',
        from: 'house-selector',
        breaker: { ampsRated: 50, kind: 'UL 489' },
        because: ['It is closed, because House bus has voltage.'],
      },
      {
        id: 'dc-main',
        label: 'DC MAIN',
        position: 'unknown',
        evidence: 'unknown',
        from: 'house-bank',
        breaker: null,
        because: ['No reading tells its position.'],
      },
    ],
    buses: BUSES(),
    circuits: scriptedCircuits(EVENING_MS),
    batteries: [BATTERY()],
    points: SCRIPTED_POINTS,
    contradictions: [],
    mode: { name: 'aboard', sinceMs: null, untilMs: null, by: null },
    ...parts,
  };
}
