/**
 * The panel as panelward believes it to be at one instant. Plain JSON: it goes to the rules, the
 * live page and the API as it is. `null` always means "not known", never zero.
 */
import type { Mode } from '../alerts/alert.ts';
import type {
  BreakerKind,
  LegName,
  LoadClass,
  PartId,
  PointId,
  StandingOrder,
} from '../boat/boat.ts';

/**
 * `measured`: a fresh reading of this very quantity. `inferred`: follows from other readings.
 * `stated`: a person said so, and no reading contradicts it.
 * `unknown`: no fresh evidence.
 */
export type Evidence = 'measured' | 'inferred' | 'stated' | 'unknown';

/** A number with its evidence. `value` is null exactly when `evidence` is `unknown`. */
export interface Known {
  value: number | null;
  evidence: Evidence;
  /** Age of the oldest reading it rests on; null if it rests on none. */
  ageMs: number | null;
  /** Last value that was ever measured, once it is no longer fresh: shown grey, used by no rule. */
  lastValue?: number;
}

export type Live = 'live' | 'dead' | 'unknown';

export interface LegState {
  leg: LegName;
  live: Live;
  volts: Known;
  amps: Known;
  watts: Known;
  /** Rated amperes of the leg, null where the boat file gives none. */
  ampsRated: number | null;
  /** amps / ampsRated, 0..; unknown where either is. */
  loadRatio: Known;
  /** ampsRated - amps; negative in overload. */
  headroomAmps: Known;
}

interface StateBase {
  id: PartId;
  label: string;
}

export interface SourceState extends StateBase {
  kind: 'shore inlet' | 'generator' | 'inverter' | 'alternator' | 'solar';
  system: 'ac' | 'dc';
  legs: LegState[];
  hertz: Known;
  watts: Known;
  wattsRated: number | null;
  /** The battery that an inverter draws from, or that an alternator or solar charges. */
  battery?: PartId;
  /** Of power where the rating is power, else of the fuller leg. */
  loadRatio: Known;
  /** Buses that this source is known to feed. Empty and `feedsIsKnown`: it feeds nothing. */
  feeds: PartId[];
  feedsIsKnown: boolean;
  /** Whole sentences for a person. */
  because: string[];
}

export interface SelectorState extends StateBase {
  /** Position name; null when the readings allow several. */
  position: string | null;
  evidence: Evidence;
  /** Every position that the readings allow. */
  possible: string[];
  /** All positions in panel order with what each feeds from (null: nothing). */
  positions: { name: string; from: PartId | null }[];
  /** Last position that was known, once it no longer is. */
  lastPosition?: string;
  because: string[];
}

export type SwitchPosition = 'closed' | 'open' | 'tripped' | 'unknown';

export interface MainSwitchState extends StateBase {
  /** Of its own breaker; null where it has none. */
  breaker: { ampsRated: number; kind: BreakerKind } | null;
  position: SwitchPosition;
  evidence: Evidence;
  from: PartId;
  lastPosition?: SwitchPosition;
  because: string[];
}

export interface BusState extends StateBase {
  system: 'ac' | 'dc';
  from: PartId;
  legs: LegState[];
  watts: Known;
  /** Source or battery that feeds it; null: none or not known, see `fedByIsKnown`. */
  fedBy: PartId | null;
  fedByIsKnown: boolean;
  /** What the feed is known by; `unknown` exactly when it is not known. */
  feedEvidence: Evidence;
  /** Amperes per leg that no circuit's own meter explains. */
  unmeteredAmps: { leg: LegName; amps: Known }[];
  because: string[];
}

/** `not drawing` is all a clamp can tell: off, tripped, satisfied thermostat or unplugged. */
export type Activity = 'drawing' | 'not drawing' | 'unknown';

/**
 * What the load behind a circuit does. `idle`: it draws, but far less than at work (a fan, a
 * standby). `not drawing` is never "off": that a clamp cannot see.
 */
export type CircuitPhase = 'running' | 'starting' | 'idle' | 'not drawing' | 'unknown';

/** What is known of the last hour or day; gaps in the readings count as nothing. */
export interface DutyState {
  /** Share of the known time that it ran, 0..1; null where nothing is known. */
  dutyRatio: number | null;
  /** Share of the time that is known, 0..1. */
  coverageRatio: number;
  starts: number;
  runMinutes: number;
}

/** Medians of the circuit's own whole days, at most fourteen. */
export interface CircuitNormal {
  days: number;
  dutyRatio: number;
  startsPerDay: number;
  longestRunMinutes: number;
  longestRestMinutes: number;
}

export interface CircuitHabits {
  phase: CircuitPhase;
  /** Learned from settled readings while it ran, amperes; null until learned. */
  runningAmps: number | null;
  /** Seen in the first seconds of recent starts, amperes, so it was at least this; null: not measured. */
  startPeakAmps: number | null;
  lastHour: DutyState;
  lastDay: DutyState;
  /** Last start that was seen. */
  lastStartMs: number | null;
  /** Null until a whole day is known. */
  normal: CircuitNormal | null;
}

export interface CircuitState extends StateBase {
  system: 'ac' | 'dc';
  /** Place on the panel. */
  position: string | null;
  bus: PartId;
  legs: LegName[];
  live: Live;
  activity: Activity;
  /** Since when the activity is what it is; null when unknown. */
  activeSinceMs: number | null;
  habits: CircuitHabits;
  amps: Known;
  watts: Known;
  breaker: { ampsRated: number; kind: BreakerKind };
  loadRatio: Known;
  headroomAmps: Known;
  load: LoadClass;
  requires: PartId[];
  excludes: PartId[];
  standingOrder: StandingOrder | null;
  note: string | null;
}

/** A range of hours, 0..240; 240 stands for longer. */
export interface HoursLeft {
  low: number;
  high: number;
}

export interface BatteryState extends StateBase {
  /** Nominal volts: 12, 24 or 48, say. */
  voltsNominal: number;
  volts: Known;
  /** Positive charging. */
  amps: Known;
  watts: Known;
  /** 0..1; measured, or counted since the bank last was full (`inferred`). */
  stateOfCharge: Known;
  celsius: Known;
  ampHours: number;
  /** Down to here hours are counted, 0..1. */
  floorRatio: number;
  /** Until the floor at the recent pattern; null while it is charged, or where it cannot be told. */
  hoursLeft: HoursLeft | null;
  /** Why it is what it is: a whole sentence for a person. */
  hoursLeftBecause: string;
  /** What the boat takes from it at this instant, and as the mean of the last hours; null: unknown. */
  drainAmps: number | null;
  usualDrainAmps: number | null;
  /** When it last was seen full; null: not yet. */
  lastFullMs: number | null;
  /** How long it has been watched since then, or since the beginning. */
  watchedSinceFullMs: number;
  /** What it was seen to hold on so many deep discharges that agree; null: not known. */
  learnedCapacity: { ampHours: number; cycles: number } | null;
}

export interface PointState {
  id: PointId;
  of: PartId;
  leg: LegName | null;
  quantity: string;
  unit: string;
  value: number | string | null;
  /** `never`: nothing since start. `restored`: only a retained or replayed value so far. */
  freshness: 'fresh' | 'stale' | 'restored' | 'never';
  ageMs: number | null;
  expectedEveryMs: number;
}

/** What most likely makes readings contradict each other. */
export interface Culprit {
  kind:
    | 'backfeed'
    | 'dead sensor'
    | 'frozen sensor'
    | 'clamp on the wrong wire'
    | 'clamp on the wrong leg'
    | 'reversed clamp'
    | 'swapped clamps'
    | 'duplicated clamp'
    | 'wrong scale';
  /** Points that it concerns. */
  points: PointId[];
  /** Whole sentence for a person. */
  text: string;
}

/** Readings that cannot all be true: no combination of positions allows them, or clamps disagree. */
export interface Contradiction {
  parts: PartId[];
  /** Whole sentences for a person. */
  because: string[];
  /** Null where no single one stands out. */
  culprit: Culprit | null;
}

/** What the boat is about, with who said so and until when (null: no end). */
export interface StandingMode {
  name: Mode;
  sinceMs: number | null;
  untilMs: number | null;
  by: string | null;
}

export interface PanelState {
  boat: string;
  atMs: number;
  sources: SourceState[];
  selectors: SelectorState[];
  mainSwitches: MainSwitchState[];
  buses: BusState[];
  circuits: CircuitState[];
  batteries: BatteryState[];
  points: PointState[];
  contradictions: Contradiction[];
  mode: StandingMode;
}

/** Something that happened at the panel and belongs in the record, though nobody has to act. */
export interface PanelEvent {
  atMs: number;
  type:
    | 'source changed'
    | 'position changed'
    | 'source live'
    | 'source dead'
    | 'stated'
    | 'mode changed';
  /** Part it is about; empty for the boat as a whole. */
  part: PartId;
  /** Whole sentence. */
  text: string;
  /** What a person said, where that is what happened; `position` null takes it back. */
  said?: SaidMode | SaidPosition;
  /** What feeds the bus from then on and what fed it before, of `source changed`. */
  feed?: FeedChange;
}

export interface FeedChange {
  by: PartId;
  before: PartId;
}

export interface SaidMode {
  by: string;
  mode: Mode;
  untilMs: number | null;
}

export interface SaidPosition {
  by: string;
  position: string | null;
}
