/** The command line as a value: what was asked for, or a problem in one sentence. No I/O. */
import { isIP } from 'node:net';
import { parseArgs } from 'node:util';
import { type Role, ROLES } from './roles.ts';
import { SENSOR_NAME } from './settings/sensors-section.ts';

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
  | { act: 'list' | 'sessions' | 'code' }
  | { act: 'audit'; isCheck: boolean }
  | { act: 'add'; name: string; role: Role }
  | { act: 'remove' | 'password'; name: string }
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

export const DEFAULT_PORT = 8377;

export const USAGE = `panelward watches the electrical panel of a boat. It informs; it never switches.

Usage
  panelward demo [--scenario NAME] [--speed N] [--seed N] [--port N] [--data DIR]
  panelward run --boat FILE [--data DIR] [--port N] [--host ADDRESS]
                [--mqtt URL | --mqtt-port N --mqtt-host ADDRESS] [--marine-data URL]
                [--settings FILE]
  panelward check FILE... [--settings FILE]
  panelward sensor-token NAME
  panelward unit --boat FILE [--user NAME] [--secrets FILE] [options of run]
  panelward notify --test [--way ID] --boat FILE [--data DIR] [--settings FILE]
  panelward access list|sessions|code [--data DIR]
  panelward access add NAME [--role guest|crew|technician] [--data DIR]
  panelward access remove|password NAME [--data DIR]
  panelward access audit [--check] [--data DIR]
  panelward tls [--name NAME]... [--anew] [--data DIR]
  panelward rehearse --boat FILE REHEARSAL...
  panelward history info|check [--data DIR]
  panelward backup FOLDER|FILE.tar [--data DIR]
  panelward restore FOLDER|FILE.tar [--data DIR]
  panelward export --boat FILE --from WHEN [--to WHEN] [--points ID,ID...] [--format csv|jsonl]
                   [--data DIR]
  panelward survey --boat FILE --from WHEN [--to WHEN] [--json] [--data DIR]
  panelward replay --boat FILE --from WHEN [--to WHEN] [--data DIR]
  panelward watch --data DIR [--settings FILE] [--port N] [--host ADDRESS]
  panelward --help | --version

Without a command: run, where --boat is given; else demo.

Options
  --boat FILE         the boat file (YAML)
  --data DIR          where history and alerts are kept
                      (run: ~/.local/state/panelward; demo: a folder that is gone afterwards)
  --settings FILE     what the people of the boat decide about panelward itself
                      (default: settings.yaml in the data folder, if there is one)
  --port N            port of the page (default ${DEFAULT_PORT}; 0 takes any free one)
  --host ADDRESS      address the page listens on (default 127.0.0.1, this machine only:
                      on any other, everybody has to sign in; see panelward access)
  --mqtt URL          take readings from this broker, e.g. mqtt://192.0.2.10:1883
  --mqtt-port N       port of the built-in broker
  --mqtt-host ADDRESS address the built-in broker listens on (default 127.0.0.1, this machine
                      only; on a network each sensor needs a name and a token, which
                      sensor-token makes)
  --marine-data URL   take readings from this open marine data server (ws:// or wss://)
  --scenario NAME     demo: play this; a wrong name lists them all
  --speed N           demo: so many times as fast as real time, 0.1 to 3600 (default 1)
  --seed N            demo: another seed, another day (default 1)
  --from, --to WHEN   a recorded span: 2026-08-01, 2026-08-01T14:30 (this computer's time zone, or
                      with Z or +02:00), 90min, 6h, 3d or 2w before now, now (the default of --to)
  --points ID,ID...   export: these points only
  --format csv|jsonl  export: CSV with units in its header (default), or a line of JSON a reading
  --json              survey: all figures, as JSON
  --role ROLE         access add: guest looks, crew acts (default), technician changes; the password
                      is asked for, or read from standard input
  --check             access audit: whether every entry is there and unchanged
  --name NAME         tls: a name or address of the page besides this computer's own
  --anew              tls: a new authority too, to be installed on the phones again
  --user NAME         unit: run as this account (default: one that systemd makes up)
  --test              notify: send a marked message by each way out, and say what came of it
  --way ID            notify: by this way only
  --secrets FILE      unit: a secrets file outside the data folder, which only root may read

Examples
  panelward demo
  panelward demo --scenario shore-lost-at-night --speed 10
  panelward check my-boat.yaml
  panelward run --boat my-boat.yaml --data /var/lib/panelward
  panelward sensor-token bow-clamps
  panelward unit --boat /etc/panelward/boat.yaml --user panelward
  panelward rehearse --boat my-boat.yaml my-limits.yaml
  panelward history info --data /var/lib/panelward
  panelward history check --data /var/lib/panelward
  panelward access add Ann --role technician --data /var/lib/panelward
  panelward tls --name panel.example.org --data /var/lib/panelward
  panelward backup /media/stick/panelward-may.tar --data /var/lib/panelward
  panelward restore /media/stick/panelward-may.tar --data /var/lib/panelward
  panelward export --boat my-boat.yaml --from 2026-08-01 --to 2026-09-01 > august.csv
  panelward survey --boat my-boat.yaml --from 2w
  panelward replay --boat my-boat.yaml --from 6h
  panelward watch --data /var/lib/panelward-ashore

Export, survey and replay may run beside panelward on the same folder. A replay puts recorded readings
through the rules of this boat file and prints the alerts of then and now beside each other.
Watch runs ashore: it hears the beats of boats and tells of their silence.
A backup is made while panelward runs, of all it keeps, and is read back before it counts. Restoring
needs panelward to be stopped; what was there is kept beside it.
`;

const OPTIONS = {
  boat: { type: 'string' },
  data: { type: 'string' },
  host: { type: 'string' },
  port: { type: 'string' },
  mqtt: { type: 'string' },
  'mqtt-port': { type: 'string' },
  'mqtt-host': { type: 'string' },
  'marine-data': { type: 'string' },
  settings: { type: 'string' },
  scenario: { type: 'string' },
  speed: { type: 'string' },
  seed: { type: 'string' },
  from: { type: 'string' },
  to: { type: 'string' },
  points: { type: 'string' },
  format: { type: 'string' },
  json: { type: 'boolean' },
  test: { type: 'boolean' },
  way: { type: 'string' },
  role: { type: 'string' },
  check: { type: 'boolean' },
  name: { type: 'string', multiple: true },
  anew: { type: 'boolean' },
  user: { type: 'string' },
  secrets: { type: 'string' },
  help: { type: 'boolean', short: 'h' },
  version: { type: 'boolean' },
} as const;

type OptionName = keyof typeof OPTIONS;
type Values = Partial<Record<OptionName, string | boolean | string[]>>;

const LOOK_BACK = ['boat', 'data', 'from', 'to'];

const RUN = [
  'boat',
  'data',
  'host',
  'port',
  'mqtt',
  'mqtt-port',
  'mqtt-host',
  'marine-data',
  'settings',
];

const ALLOWED = {
  run: RUN,
  unit: [...RUN, 'user', 'secrets'],
  demo: ['scenario', 'speed', 'seed', 'data', 'host', 'port'],
  check: ['settings'],
  'sensor-token': [],
  notify: ['test', 'way', 'boat', 'data', 'settings'],
  access: ['data', 'role', 'check'],
  tls: ['data', 'name', 'anew'],
  rehearse: ['boat'],
  history: ['data'],
  backup: ['data'],
  restore: ['data'],
  export: [...LOOK_BACK, 'points', 'format'],
  survey: [...LOOK_BACK, 'json'],
  replay: LOOK_BACK,
  watch: ['settings', 'data', 'host', 'port'],
} satisfies Record<string, string[]>;

class Problem extends Error {}

const textOf = (values: Values, name: OptionName): string | null => {
  const value = values[name];
  if (value === undefined) return null;
  if (typeof value !== 'string' || value === '') throw new Problem(`--${name} needs a value`);
  return value;
};

function numberOf(
  values: Values,
  name: OptionName,
  { min, max, whole = true }: { min: number; max: number; whole?: boolean },
): number | null {
  const text = textOf(values, name);
  if (text === null) return null;
  const value = Number(text);
  if (
    !Number.isFinite(value) ||
    value < min ||
    value > max ||
    (whole && !Number.isInteger(value))
  ) {
    const kind = whole ? 'a whole number' : 'a number';
    throw new Problem(`--${name} must be ${kind} from ${min} to ${max}, got "${text}"`);
  }
  return value;
}

const PORTS = { min: 0, max: 65_535 };

function commandOf(name: keyof typeof ALLOWED, files: string[], values: Values): Command {
  for (const given of Object.keys(values)) {
    const allowed: readonly string[] = ALLOWED[name];
    if (!allowed.includes(given)) throw new Problem(`--${given} does not go with ${name}`);
  }
  const page = {
    data: textOf(values, 'data'),
    host: textOf(values, 'host') ?? '127.0.0.1',
    port: numberOf(values, 'port', PORTS) ?? DEFAULT_PORT,
  };
  switch (name) {
    case 'check':
      return checkOf(files, textOf(values, 'settings'));
    case 'sensor-token': {
      const [sensor] = files;
      if (files.length !== 1 || sensor === undefined || !SENSOR_NAME.test(sensor)) {
        throw new Problem(
          'sensor-token needs one name of letters, digits, dots, - or _: panelward sensor-token bow-clamps',
        );
      }
      return { command: 'sensor-token', name: sensor };
    }
    case 'access':
      return accessOf(files, values, page.data);
    case 'tls':
      if (files.length > 0) throw new Problem(`tls takes no "${files[0]}"; names go with --name`);
      return {
        command: 'tls',
        data: page.data,
        names: namesOf(values),
        isAnew: values.anew === true,
      };
    case 'rehearse': {
      const boat = textOf(values, 'boat');
      if (boat === null || files.length === 0) {
        throw new Problem('rehearse needs both: panelward rehearse --boat FILE REHEARSAL...');
      }
      return { command: 'rehearse', boat, files };
    }
    case 'history':
      if (files.join(' ') === 'info') return { command: 'history info', data: page.data };
      if (files.join(' ') === 'check') return { command: 'history check', data: page.data };
      throw new Problem('history has two questions: panelward history info, and history check');
    case 'backup':
      return { command: 'backup', target: onePath(name, files), data: page.data };
    case 'restore':
      return { command: 'restore', source: onePath(name, files), data: page.data };
    case 'export': {
      const points = textOf(values, 'points');
      const format = textOf(values, 'format') ?? 'csv';
      if (format !== 'csv' && format !== 'jsonl') {
        throw new Problem(`--format must be csv or jsonl, got "${format}"`);
      }
      const ids = points === null ? null : points.split(',').map((id) => id.trim());
      return { command: 'export', ...lookBackOf(name, files, values), points: ids, format };
    }
    case 'survey':
      return { command: 'survey', ...lookBackOf(name, files, values), isJson: !!values.json };
    case 'replay':
      return { command: 'replay', ...lookBackOf(name, files, values) };
    case 'run': {
      const boat = textOf(values, 'boat');
      if (boat === null) throw new Problem('run needs a boat file: panelward run --boat FILE');
      if (files.length > 0) throw new Problem(`run takes no "${files[0]}"`);
      const mqtt = textOf(values, 'mqtt');
      const mqttPort = numberOf(values, 'mqtt-port', PORTS);
      if (mqtt !== null && mqttPort !== null) {
        throw new Problem(
          '--mqtt is for an outside broker, --mqtt-port for the built-in one; give one',
        );
      }
      return {
        command: 'run',
        boat,
        ...page,
        mqtt,
        mqttPort,
        mqttHost: textOf(values, 'mqtt-host') ?? '127.0.0.1',
        marineData: textOf(values, 'marine-data'),
        settings: textOf(values, 'settings'),
      };
    }
    case 'unit':
      return unitOf(files, values);
    case 'notify':
      return notifyOf(files, values);
    case 'watch':
      if (files.length > 0) throw new Problem(`watch takes no "${files[0]}"`);
      return { command: 'watch', ...page, settings: textOf(values, 'settings') };
    case 'demo':
      if (files.length > 0) throw new Problem(`demo takes no "${files[0]}"`);
      return {
        command: 'demo',
        scenario: textOf(values, 'scenario'),
        speed: numberOf(values, 'speed', { min: 0.1, max: 3600, whole: false }) ?? 1,
        seed: numberOf(values, 'seed', { min: 0, max: 2 ** 31 - 1 }) ?? 1,
        ...page,
      };
  }
}

function notifyOf(files: readonly string[], values: Values): Command {
  const [boat, way] = [textOf(values, 'boat'), textOf(values, 'way')];
  if (boat === null || values.test !== true || files.length > 0) {
    throw new Problem('notify needs both: panelward notify --test --boat FILE');
  }
  const [data, settings] = [textOf(values, 'data'), textOf(values, 'settings')];
  return { command: 'notify', boat, data, settings, way };
}

function lookBackOf(name: string, files: readonly string[], values: Values): LookBack {
  const [boat, from] = [textOf(values, 'boat'), textOf(values, 'from')];
  if (boat === null || from === null) {
    throw new Problem(`${name} needs both: panelward ${name} --boat FILE --from WHEN`);
  }
  if (files.length > 0) throw new Problem(`${name} takes no "${files[0]}"`);
  return { boat, from, to: textOf(values, 'to') ?? 'now', data: textOf(values, 'data') };
}

/** Whatever `run` would refuse is refused here, not at the next start of the boat's computer. */
function unitOf(files: string[], all: Values): UnitCommand {
  const { user: _user, secrets: _secrets, ...values } = all;
  const run = commandOf('run', files, values);
  if (run.command !== 'run') throw new Error('run is no other command');
  const { boat, data } = run;
  const options = Object.entries(values).filter(([name]) => name !== 'boat' && name !== 'data');
  return {
    command: 'unit',
    boat,
    data,
    user: textOf(all, 'user'),
    secrets: textOf(all, 'secrets'),
    options: new Map(options.map(([name, value]) => [name, String(value)])),
  };
}

function checkOf(files: string[], settings: string | null): Command {
  if (files.length === 0 && settings === null) {
    throw new Problem('check needs a boat file: panelward check FILE');
  }
  return settings === null ? { command: 'check', files } : { command: 'check', files, settings };
}

function accessOf(files: readonly string[], values: Values, data: string | null): AccessCommand {
  const [act, name, more] = files;
  const given = { command: 'access', data } as const;
  if (values.role !== undefined && act !== 'add') throw new Problem('--role goes with access add');
  if (values.check === true && act !== 'audit') throw new Problem('--check goes with access audit');
  switch (act) {
    case 'list':
    case 'sessions':
    case 'code':
    case 'audit':
      if (name !== undefined) throw new Problem(`access ${act} takes no "${name}"`);
      return act === 'audit'
        ? { ...given, act, isCheck: values.check === true }
        : { ...given, act };
    case 'add':
    case 'remove':
    case 'password':
      if (name === undefined || name === '') {
        throw new Problem(`access ${act} needs a name: panelward access ${act} NAME`);
      }
      // A second word may be a password that somebody typed by habit: it is not shown again.
      if (more !== undefined) {
        throw new Problem(
          `access ${act} takes one name, in quotes if it has spaces; a password is asked for, never given here`,
        );
      }
      return act === 'add'
        ? { ...given, act, name, role: roleOf(values) }
        : { ...given, act, name };
    default:
      throw new Problem(
        'access needs one of list, add, remove, password, sessions, code, audit: panelward access list',
      );
  }
}

function roleOf(values: Values): Role {
  const text = textOf(values, 'role') ?? 'crew';
  const role = ROLES.find((each) => each === text);
  if (role === undefined)
    throw new Problem(`--role must be one of ${ROLES.join(', ')}, got "${text}"`);
  return role;
}

const HOST_NAME = /^[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*$/i;

function namesOf({ name }: Values): string[] {
  const names = Array.isArray(name) ? name : [];
  for (const each of names) {
    if (isIP(each) === 0 && (!HOST_NAME.test(each) || each.length > 253)) {
      throw new Problem(`--name must be a host name or an address, got "${each}"`);
    }
  }
  return names;
}

function onePath(name: 'backup' | 'restore', files: readonly string[]): string {
  const [path, more] = files;
  if (path === undefined || path === '') {
    throw new Problem(`${name} needs a folder or a file: panelward ${name} FOLDER|FILE.tar`);
  }
  if (more !== undefined) throw new Problem(`${name} takes one folder or file, not "${more}" too`);
  return path;
}

const isCommand = (name: string): name is keyof typeof ALLOWED => Object.hasOwn(ALLOWED, name);

/** Reads the arguments after the program's name. */
export function readArguments(args: string[]): Command | { problem: string } {
  try {
    const { values, positionals } = parseArgs({ args, options: OPTIONS, allowPositionals: true });
    if (values.help || positionals[0] === 'help') return { command: 'help' };
    if (values.version) return { command: 'version' };
    const [first, ...files] = positionals;
    const name = first ?? (values.boat === undefined ? 'demo' : 'run');
    if (!isCommand(name)) {
      throw new Problem(
        `there is no command "${name}"; commands are ${Object.keys(ALLOWED).join(', ')}`,
      );
    }
    return commandOf(name, files, values);
  } catch (error) {
    // Both our problems and those of parseArgs are about what was typed.
    if (error instanceof Problem || error instanceof TypeError) return { problem: error.message };
    throw error;
  }
}
