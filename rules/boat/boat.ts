/**
 * The boat description as every other part of the project sees it: resolved, with defaults filled
 * in, references known to exist. `read-boat.ts` makes it from text; nothing else does.
 *
 * Units are part of each name. Signs: see `signs.ts`.
 */
import type { LimitName } from './limits.ts';

/** Name of a source, selector, main switch, bus, circuit or battery; unique over the whole boat. */
export type PartId = string;
/** Name of a point; unique over the boat. */
export type PointId = string;
/** Name of a leg, e.g. `L1`. A DC part has the single leg `DC`. */
export type LegName = string;

/** The one leg of every DC part. */
export const DC_LEG: LegName = 'DC';

export interface AcSystem {
  kind: 'single phase' | 'split phase';
  /** Nominal volts of one leg to neutral: 120 or 230, say. */
  volts: number;
  hertz: number;
  /** One name for single phase, two for split phase. */
  legs: LegName[];
}

export interface DcSystem {
  /** Nominal volts: 12, 24 or 48. */
  volts: number;
}

/** Copper conductor; exactly as the boat file gave it. */
export interface Conductor {
  /** American wire gauge as a label of the trade, `10` or `4/0`; absent where `squareMillimetres` is given. */
  awg?: string;
  squareMillimetres?: number;
  /** Insulation temperature rating, degrees Celsius. */
  insulationCelsius: number;
  /** Runs through an engine space (50 degrees Celsius ambient). */
  isInEngineSpace: boolean;
  /** Current-carrying conductors bundled together, this circuit's own included. */
  bundled: number;
  /** One-way length in metres. */
  lengthMetres?: number;
}

interface PartBase {
  id: PartId;
  /** What the panel's own label says; defaults to the id. */
  label: string;
}

export interface ShoreInlet extends PartBase {
  part: 'source';
  kind: 'shore inlet';
  system: 'ac';
  legs: LegName[];
  /** Rated amperes per leg of inlet and cord, the smaller. */
  ampsRated: number;
  cord?: Conductor;
}

export interface Generator extends PartBase {
  part: 'source';
  kind: 'generator';
  system: 'ac';
  legs: LegName[];
  wattsRated: number;
  /** Apparent power rating; equals `wattsRated` where the file gives none. */
  voltAmpsRated: number;
  /** Rated amperes per leg: given, or `voltAmpsRated / (volts of a leg x number of legs)`. */
  ampsRated: number;
  fuel: 'diesel' | 'petrol' | 'gas';
  /** The bank that cranks its engine, where the file says so. */
  startBattery?: PartId;
}

export interface Inverter extends PartBase {
  part: 'source';
  kind: 'inverter';
  system: 'ac';
  legs: LegName[];
  wattsRated: number;
  /** Rated amperes per leg: given, or `wattsRated / (volts of a leg x number of legs)`. */
  ampsRated: number;
  battery: PartId;
}

export interface Alternator extends PartBase {
  part: 'source';
  kind: 'alternator';
  system: 'dc';
  legs: LegName[];
  ampsRated: number;
  battery: PartId;
}

export interface Solar extends PartBase {
  part: 'source';
  kind: 'solar';
  system: 'dc';
  legs: LegName[];
  /** Panel watts at standard test conditions. */
  wattsRated: number;
  /** Largest output of the charge controller. */
  ampsRated: number;
  battery: PartId;
}

export type Source = ShoreInlet | Generator | Inverter | Alternator | Solar;

export interface Battery extends PartBase {
  part: 'battery';
  system: 'dc';
  legs: LegName[];
  chemistry: 'flooded' | 'agm' | 'gel' | 'lifepo4';
  volts: number;
  /** Rated capacity at the 20-hour rate. */
  ampHours: number;
}

export interface Selector extends PartBase {
  part: 'selector';
  system: 'ac' | 'dc';
  /** Position name as engraved, in panel order, to the part that feeds there; `null` feeds nothing. */
  positions: ReadonlyMap<string, PartId | null>;
}

export interface MainSwitch extends PartBase {
  part: 'main switch';
  system: 'ac' | 'dc';
  from: PartId;
  /** Rating of its breaker, where it has one. */
  breaker?: Breaker;
}

export interface Bus extends PartBase {
  part: 'bus';
  system: 'ac' | 'dc';
  from: PartId;
  legs: LegName[];
  /** Rated amperes per leg of the bus bar or its feeder. */
  ampsRated?: number;
}

/** `UL 489`: North American panel breaker; the letters are IEC 60898-1 types. */
export type BreakerKind = 'UL 489' | 'IEC B' | 'IEC C' | 'IEC D' | 'fuse';

export interface Breaker {
  ampsRated: number;
  kind: BreakerKind;
}

export type LoadClass = 'resistive' | 'motor' | 'charger' | 'electronics' | 'mixed';
/** What a circuit's load is for, where a rule has to know. `refrigerator`: freezers too. */
export type CircuitDuty = 'bilge pump' | 'fresh water pump' | 'refrigerator';
export type StandingOrder = 'should be on' | 'leave off' | 'out of service';

/** Something that a person switches on at a circuit of several: a kettle at the galley outlets. */
export interface Appliance {
  /** Unique on its circuit. */
  label: string;
  /** Amperes on each leg of its circuit while it runs. */
  ampsRunning: number;
  /** How long it is on at a time, minutes; absent: it may be on for hours. */
  minutesOn?: number;
}

export interface Circuit extends PartBase {
  part: 'circuit';
  system: 'ac' | 'dc';
  /** Place on the panel as engraved there, e.g. `A-4`. */
  position?: string;
  bus: PartId;
  /** One leg, or both for a load across the legs (240 V on a 120/240 V boat). */
  legs: LegName[];
  breaker: Breaker;
  conductor?: Conductor;
  load: LoadClass;
  /** Absent: no rule needs to know. */
  duty?: CircuitDuty;
  /** Expected running current, where the file gives it. */
  ampsRunning?: number;
  /** Above this the circuit counts as running; default `limits.drawingAmps`. */
  drawingAmps: number;
  /** 1 is dropped first; absent: not to be suggested. */
  shedding?: number;
  /** Each of these circuits must be running before this one. */
  requires: PartId[];
  /** None of these circuits may run together with this one. */
  excludes: PartId[];
  standingOrder?: StandingOrder;
  /** Source that must be feeding for `should be on` to hold; absent: any. */
  standingOrderWhenFedBy?: PartId;
  /** Circuit that should be used instead where it can. */
  preferInstead?: PartId;
  /** Battery that this circuit's charger charges. */
  charges?: PartId;
  /** What a load plan names on it; absent: only the circuit itself. */
  appliances?: readonly Appliance[];
  /** A thermostat, float or timer may start it; absent: so for motors, heaters and chargers. */
  startsByItself?: boolean;
  note?: string;
}

export type Part = Source | Battery | Selector | MainSwitch | Bus | Circuit;

/**
 * What a point measures, in the unit that readings carry inside panelward:
 * `volts` V, `amps` A, `watts` W, `hertz` Hz, `powerFactor` 0..1, `stateOfCharge` 0..1,
 * `celsius` degrees C, `position` a selector's position name, `switch` `closed|open|tripped`.
 */
export type Quantity =
  | 'volts'
  | 'amps'
  | 'watts'
  | 'hertz'
  | 'powerFactor'
  | 'stateOfCharge'
  | 'celsius'
  | 'position'
  | 'switch';

export interface MqttAddress {
  via: 'mqtt';
  topic: string;
  /** JSON Pointer (RFC 6901) into the payload; absent: the payload is a plain number or word. */
  pointer?: string;
}

export interface MarineDataAddress {
  via: 'marine data';
  /** Dotted path below the vessel itself, e.g. `electrical.batteries.house.voltage`. */
  path: string;
  /** Pattern for `$source` with `*` for any run of characters; absent: the first source seen is kept. */
  sourcePattern?: string;
}

export interface Point {
  id: PointId;
  of: PartId;
  quantity: Quantity;
  /**
   * Absent for quantities that have no leg (hertz, position, switch, stateOfCharge, celsius). Volts
   * across both legs of a split-phase part have the leg `L1-L2`: the names of both, joined.
   */
  leg?: LegName;
  address: MqttAddress | MarineDataAddress;
  /**
   * Arithmetic from the raw number to the reading, applied in this order:
   * `((raw * scale) + offset)` is in the file's `unit`; `toBase` brings it to the unit of `quantity`;
   * then `sign` (+1 or -1).
   */
  scale: number;
  offset: number;
  sign: 1 | -1;
  unit: string;
  /** Raw word or number to position name, or to `closed|open|tripped`; for `position` and `switch`. */
  words?: ReadonlyMap<string, string>;
  /** How often the sensor is expected to speak. */
  expectedEveryMs: number;
  /** Readings outside are refused as impossible; defaults by quantity. */
  min: number;
  max: number;
}

/** Every limit a rule uses, with its default in `limits.ts`; the boat file's `limits` overrides one by one. */
export type Limits = Readonly<Record<LimitName, number>>;

export interface Intake {
  mqtt: { broker: 'embedded'; port: number } | { broker: string; username?: string };
  marineData?: { url: string };
}

export interface Boat {
  name: string;
  ac: AcSystem | null;
  dc: DcSystem | null;
  /** All parts by id, in the order of the file. */
  parts: ReadonlyMap<PartId, Part>;
  sources: readonly Source[];
  batteries: readonly Battery[];
  selectors: readonly Selector[];
  mainSwitches: readonly MainSwitch[];
  buses: readonly Bus[];
  circuits: readonly Circuit[];
  points: ReadonlyMap<PointId, Point>;
  limits: Limits;
  intake: Intake;
}
