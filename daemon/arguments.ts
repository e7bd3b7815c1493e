/** The command line as a value: what was asked for, or a problem in one sentence. No I/O. */
import { isIP } from 'node:net';
import { parseArgs } from 'node:util';
import type { AccessCommand, Command, LookBack, UnitCommand } from './commands.ts';
import { numberOf, OPTIONS, Problem, textOf } from './options.ts';
import type { Values } from './options.ts';
import { type Role, ROLES } from './roles.ts';
import { SENSOR_NAME } from './settings/sensors-section.ts';
import { DEFAULT_PORT } from './usage.ts';

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
    case 'tokens':
    case 'audit':
      if (name !== undefined) throw new Problem(`access ${act} takes no "${name}"`);
      return act === 'audit'
        ? { ...given, act, isCheck: values.check === true }
        : { ...given, act };
    case 'add':
    case 'remove':
    case 'password':
    case 'token':
    case 'end-token':
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
        'access needs one of list, add, remove, password, sessions, code, audit, tokens, token, end-token: panelward access list',
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
