/**
 * The panel state as JSON on the wire. The rules own the types; these schemas mirror them, and the
 * compiler holds the two together.
 */
import { z } from 'zod';
import type {
  BatteryState,
  BusState,
  CircuitHabits,
  CircuitState,
  Contradiction,
  Known,
  LegState,
  MainSwitchState,
  PanelState,
  PointState,
  SelectorState,
  SourceState,
} from '../../rules/panel/panel-state.ts';
import { mirrors } from './mirror.ts';

const electricalSystem = z.enum(['ac', 'dc']);
const evidence = z.enum(['measured', 'inferred', 'stated', 'unknown']);
const live = z.enum(['live', 'dead', 'unknown']);
const switchPosition = z.enum(['closed', 'open', 'tripped', 'unknown']);
const breaker = z.strictObject({
  ampsRated: z.number(),
  kind: z.enum(['UL 489', 'IEC B', 'IEC C', 'IEC D', 'fuse']),
});
const because = z.array(z.string()).describe('Whole sentences for a person.');

export const knownSchema = mirrors<Known>()(
  z
    .strictObject({
      value: z.number().nullable(),
      evidence,
      ageMs: z.number().nullable(),
      lastValue: z.number().exactOptional(),
    })
    .describe('A number with its evidence; null is "not known", never zero.'),
);

export const legStateSchema = mirrors<LegState>()(
  z.strictObject({
    leg: z.string(),
    live,
    volts: knownSchema,
    amps: knownSchema,
    watts: knownSchema,
    ampsRated: z.number().nullable(),
    loadRatio: knownSchema,
    headroomAmps: knownSchema,
  }),
);

export const sourceStateSchema = mirrors<SourceState>()(
  z.strictObject({
    id: z.string(),
    label: z.string(),
    kind: z.enum(['shore inlet', 'generator', 'inverter', 'alternator', 'solar']),
    system: electricalSystem,
    legs: z.array(legStateSchema),
    hertz: knownSchema,
    watts: knownSchema,
    wattsRated: z.number().nullable(),
    battery: z.string().exactOptional(),
    loadRatio: knownSchema,
    feeds: z.array(z.string()),
    feedsIsKnown: z.boolean(),
    because,
  }),
);

export const selectorStateSchema = mirrors<SelectorState>()(
  z.strictObject({
    id: z.string(),
    label: z.string(),
    position: z.string().nullable(),
    evidence,
    possible: z.array(z.string()),
    positions: z.array(z.strictObject({ name: z.string(), from: z.string().nullable() })),
    lastPosition: z.string().exactOptional(),
    because,
  }),
);

export const mainSwitchStateSchema = mirrors<MainSwitchState>()(
  z.strictObject({
    id: z.string(),
    label: z.string(),
    position: switchPosition,
    evidence,
    from: z.string(),
    breaker: breaker.nullable(),
    lastPosition: switchPosition.exactOptional(),
    because,
  }),
);

export const busStateSchema = mirrors<BusState>()(
  z.strictObject({
    id: z.string(),
    label: z.string(),
    system: electricalSystem,
    from: z.string(),
    legs: z.array(legStateSchema),
    watts: knownSchema,
    fedBy: z.string().nullable(),
    fedByIsKnown: z.boolean(),
    feedEvidence: evidence,
    unmeteredAmps: z.array(z.strictObject({ leg: z.string(), amps: knownSchema })),
    because,
  }),
);

const dutySchema = z.strictObject({
  dutyRatio: z.number().nullable(),
  coverageRatio: z.number(),
  starts: z.number(),
  runMinutes: z.number(),
});

const circuitHabitsSchema = mirrors<CircuitHabits>()(
  z.strictObject({
    phase: z.enum(['running', 'starting', 'idle', 'not drawing', 'unknown']),
    runningAmps: z.number().nullable(),
    startPeakAmps: z.number().nullable(),
    lastHour: dutySchema,
    lastDay: dutySchema,
    lastStartMs: z.number().nullable(),
    normal: z
      .strictObject({
        days: z.number(),
        dutyRatio: z.number(),
        startsPerDay: z.number(),
        longestRunMinutes: z.number(),
        longestRestMinutes: z.number(),
      })
      .nullable(),
  }),
);

export const circuitStateSchema = mirrors<CircuitState>()(
  z.strictObject({
    id: z.string(),
    label: z.string(),
    system: electricalSystem,
    position: z.string().nullable(),
    bus: z.string(),
    legs: z.array(z.string()),
    live,
    activity: z.enum(['drawing', 'not drawing', 'unknown']),
    activeSinceMs: z.number().nullable(),
    habits: circuitHabitsSchema,
    amps: knownSchema,
    watts: knownSchema,
    breaker,
    loadRatio: knownSchema,
    headroomAmps: knownSchema,
    load: z.enum(['resistive', 'motor', 'charger', 'electronics', 'mixed']),
    requires: z.array(z.string()),
    excludes: z.array(z.string()),
    standingOrder: z.enum(['should be on', 'leave off', 'out of service']).nullable(),
    note: z.string().nullable(),
  }),
);

export const batteryStateSchema = mirrors<BatteryState>()(
  z.strictObject({
    id: z.string(),
    label: z.string(),
    voltsNominal: z.number(),
    volts: knownSchema,
    amps: knownSchema,
    watts: knownSchema,
    stateOfCharge: knownSchema,
    celsius: knownSchema,
    ampHours: z.number(),
    floorRatio: z.number(),
    hoursLeft: z.strictObject({ low: z.number(), high: z.number() }).nullable(),
    hoursLeftBecause: z.string(),
    drainAmps: z.number().nullable(),
    usualDrainAmps: z.number().nullable(),
    lastFullMs: z.number().nullable(),
    watchedSinceFullMs: z.number(),
    learnedCapacity: z.object({ ampHours: z.number(), cycles: z.number() }).nullable(),
  }),
);

export const pointStateSchema = mirrors<PointState>()(
  z.strictObject({
    id: z.string(),
    of: z.string(),
    leg: z.string().nullable(),
    quantity: z.string(),
    unit: z.string(),
    value: z.union([z.number(), z.string()]).nullable(),
    freshness: z.enum(['fresh', 'stale', 'restored', 'never']),
    ageMs: z.number().nullable(),
    expectedEveryMs: z.number(),
  }),
);

export const contradictionSchema = mirrors<Contradiction>()(
  z.strictObject({
    parts: z.array(z.string()),
    because,
    culprit: z
      .strictObject({
        kind: z.enum([
          'backfeed',
          'dead sensor',
          'frozen sensor',
          'clamp on the wrong wire',
          'clamp on the wrong leg',
          'reversed clamp',
          'swapped clamps',
          'duplicated clamp',
          'wrong scale',
        ]),
        points: z.array(z.string()),
        text: z.string(),
      })
      .nullable(),
  }),
);

export const panelStateSchema = mirrors<PanelState>()(
  z.strictObject({
    boat: z.string(),
    atMs: z.number(),
    sources: z.array(sourceStateSchema),
    selectors: z.array(selectorStateSchema),
    mainSwitches: z.array(mainSwitchStateSchema),
    buses: z.array(busStateSchema),
    circuits: z.array(circuitStateSchema),
    batteries: z.array(batteryStateSchema),
    points: z.array(pointStateSchema),
    contradictions: z.array(contradictionSchema),
    mode: z.strictObject({
      name: z.enum(['aboard', 'away', 'under way', 'work in progress']),
      sinceMs: z.number().nullable(),
      untilMs: z.number().nullable(),
      by: z.string().nullable(),
    }),
  }),
);
