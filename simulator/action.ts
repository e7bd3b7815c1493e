/** What people, the dock and bad luck do to the boat and its sensors: the verbs of scenarios. */
import type { LegName, PartId } from '../rules/index.ts';
import type { Contact } from './physics/switches.ts';
import type { LoadCommand } from './physics/loads/load.ts';
import type { Dock } from './physics/pedestal.ts';

export type VesselAction =
  | { do: 'turn selector'; selector: PartId; to: string }
  /** A main switch or a circuit's breaker. */
  | { do: 'move switch'; part: PartId; to: Contact }
  /** A generator or an inverter. */
  | { do: 'start' | 'stop'; source: PartId }
  /** A generator is cranked for so long and does not fire. */
  | { do: 'crank in vain'; source: PartId; seconds: number }
  /** The pedestal's power at an inlet, all of it or one leg. */
  | { do: 'pedestal'; inlet: PartId; leg?: LegName; power: 'on' | 'off' }
  /** A worn or loose neutral between pedestal and boat; zero mends it. */
  | { do: 'loosen neutral'; inlet: PartId; ohms: number }
  /** A worn pin or a loose clamp of one leg at the plug; zero mends it. */
  | { do: 'wear pin'; inlet: PartId; leg: LegName; ohms: number }
  /** Another supply at the same post: volts, neighbours, a longer cord. What is not said stays. */
  | { do: 'change dock'; inlet: PartId; dock: Dock }
  | { do: 'load'; circuit: PartId; command: LoadCommand };

export interface SensorAction {
  do: 'sensor';
  /** Its MQTT topic, or its `$source` in open marine data. */
  publisher: string;
  /**
   * `silent`: says nothing, as if it had lost its network. `dies`: the broker speaks its last will,
   * that it has no values, then silence. `frozen`: goes on saying what it said last. `reboots`:
   * silent for 20 s, then counts its uptime anew. `well`: over.
   */
  fault: 'silent' | 'dies' | 'frozen' | 'reboots' | 'well';
}

export type Action = VesselAction | SensorAction;

export interface TimedAction<A extends Action = Action> {
  /** Since the start of the scenario, or of the day for a ship's routine. */
  atMs: number;
  action: A;
}
