/** What panelward can be asked to do on the command line. Types only. */
import type { Role } from './roles.ts';

export interface RunCommand {
  command: 'run';
  boat: string;
  data: string | null;
  host: string;
  port: number;
  /** Outside broker in place of the boat file's. */
  mqtt: string | null;
  /** Port of the embedded broker in place of the boat file's. */
  mqttPort: number | null;
  /** Address the embedded broker listens on. */
  mqttHost: string;
  marineData: string | null;
  /** Settings file in place of the data folder's. */
  settings: string | null;
}

/** A systemd unit that runs panelward so. */
export interface UnitCommand {
  command: 'unit';
  boat: string;
  data: string | null;
  user: string | null;
  secrets: string | null;
  /** What else goes to `run`, by option. */
  options: ReadonlyMap<string, string>;
}

export interface DemoCommand {
  command: 'demo';
  scenario: string | null;
  speed: number;
  seed: number;
  data: string | null;
  host: string;
  port: number;
}

/** Who may sign in on the page. */
export type AccessCommand = { command: 'access'; data: string | null } & (
  | { act: 'list' | 'sessions' | 'code' | 'tokens' }
  | { act: 'audit'; isCheck: boolean }
  | { act: 'add'; name: string; role: Role }
  | { act: 'remove' | 'password' | 'token' | 'end-token'; name: string }
);

/** A recorded span, as typed. */
export interface LookBack {
  boat: string;
  data: string | null;
  from: string;
  to: string;
}

/** The watch ashore over boats that say by their beats that they are well. */
export interface WatchCommand {
  command: 'watch';
  settings: string | null;
  data: string | null;
  host: string;
  port: number;
}

export type Command =
  | WatchCommand
  | RunCommand
  | DemoCommand
  | { command: 'check'; files: string[]; settings?: string }
  | { command: 'sensor-token'; name: string }
  | UnitCommand
  | {
      command: 'notify';
      boat: string;
      data: string | null;
      settings: string | null;
      way: string | null;
    }
  | AccessCommand
  | { command: 'tls'; data: string | null; names: string[]; isAnew: boolean }
  | { command: 'rehearse'; boat: string; files: string[] }
  | { command: 'history info' | 'history check'; data: string | null }
  | { command: 'backup'; target: string; data: string | null }
  | { command: 'restore'; source: string; data: string | null }
  | (LookBack & { command: 'export'; points: string[] | null; format: 'csv' | 'jsonl' })
  | (LookBack & { command: 'survey'; isJson: boolean })
  | (LookBack & { command: 'replay' })
  | { command: 'help' }
  | { command: 'version' };
