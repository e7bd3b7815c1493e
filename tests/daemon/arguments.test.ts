import { describe, expect, test } from 'vitest';
import { readArguments } from '../../daemon/arguments.ts';
import { DEFAULT_PORT, USAGE } from '../../daemon/usage.ts';

const read = (line: string) => readArguments(line.split(' ').filter(Boolean));

describe('the command line', () => {
  test('without anything it is the demonstration', () => {
    expect(read('')).toEqual({
      command: 'demo',
      scenario: null,
      speed: 1,
      seed: 1,
      data: null,
      host: '127.0.0.1',
      port: DEFAULT_PORT,
    });
  });

  test('with a boat file it runs that boat', () => {
    expect(read('--boat my.yaml --data d')).toMatchObject({
      command: 'run',
      boat: 'my.yaml',
      data: 'd',
      mqtt: null,
      mqttPort: null,
      mqttHost: '127.0.0.1',
      marineData: null,
    });
    expect(read('run --boat my.yaml')).toMatchObject({ command: 'run', data: null });
  });

  test('takes the options of each command', () => {
    expect(read('demo --scenario x --speed 2.5 --seed 7 --port 0')).toMatchObject({
      scenario: 'x',
      speed: 2.5,
      seed: 7,
      port: 0,
    });
    expect(
      read('run --boat b --mqtt mqtt://h:1 --marine-data ws://h --host 0.0.0.0'),
    ).toMatchObject({ mqtt: 'mqtt://h:1', marineData: 'ws://h', host: '0.0.0.0' });
    expect(read('check a.yaml b.yaml')).toEqual({ command: 'check', files: ['a.yaml', 'b.yaml'] });
    expect(read('rehearse --boat b r.yaml')).toEqual({
      command: 'rehearse',
      boat: 'b',
      files: ['r.yaml'],
    });
  });

  test('takes settings to check, and the name of a sensor', () => {
    expect(read('check --settings s')).toEqual({ command: 'check', files: [], settings: 's' });
    expect(read('sensor-token bow')).toEqual({ command: 'sensor-token', name: 'bow' });
  });

  test('takes a place for a backup, and one to restore from', () => {
    expect(read('history info --data d')).toEqual({ command: 'history info', data: 'd' });
    expect(read('backup b.tar')).toEqual({ command: 'backup', target: 'b.tar', data: null });
    expect(read('restore b --data d')).toEqual({ command: 'restore', source: 'b', data: 'd' });
  });

  test('takes a recorded span, up to now unless told', () => {
    const span = { boat: 'b', data: null, from: '6h', to: 'now' };
    expect(read('replay --boat b --from 6h')).toEqual({ command: 'replay', ...span });
    expect(read('watch --data /var/lib/ashore --port 0')).toEqual({
      command: 'watch',
      data: '/var/lib/ashore',
      host: '127.0.0.1',
      port: 0,
      settings: null,
    });
    expect(read('survey --boat b --from 6h --json')).toEqual({
      command: 'survey',
      ...span,
      isJson: true,
    });
    expect(read('export --boat b --from 6h --to 1h --points x,y --format jsonl')).toEqual({
      command: 'export',
      ...span,
      to: '1h',
      points: ['x', 'y'],
      format: 'jsonl',
    });
  });

  test.each(['--help', '-h', 'help', 'run --help'])('%s shows the help', (line) => {
    expect(read(line)).toEqual({ command: 'help' });
  });

  test('the help shows an example of every command', () => {
    for (const name of [
      'demo',
      'run',
      'check',
      'sensor-token',
      'unit',
      'rehearse',
      'backup',
      'restore',
      'export',
      'survey',
      'replay',
    ]) {
      expect(USAGE.split('Examples')[1]).toContain(`panelward ${name}`);
    }
  });

  test.each([
    ['sail', 'there is no command "sail"'],
    ['toString', 'there is no command "toString"'],
    ['run', 'run needs a boat file'],
    ['run --boat', 'boat'],
    ['run --boat=', '--boat needs a value'],
    ['check', 'check needs a boat file'],
    ['rehearse --boat b', 'rehearse needs both'],
    ['demo --speed fast', '--speed must be a number from 0.1 to 3600, got "fast"'],
    ['demo --speed 0', '--speed must be a number from 0.1 to 3600, got "0"'],
    ['demo --seed 1.5', '--seed must be a whole number'],
    ['demo --port 70000', '--port must be a whole number from 0 to 65535, got "70000"'],
    ['export --boat b', 'export needs both: panelward export --boat FILE --from WHEN'],
    ['replay --from 6h', 'replay needs both'],
    ['survey --boat b --from 6h august', 'survey takes no "august"'],
    ['export --boat b --from 6h --format xlsx', '--format must be csv or jsonl, got "xlsx"'],
    ['replay --boat b --from 6h --json', '--json does not go with replay'],
    ['history', 'history has two questions: panelward history info'],
    ['history size', 'history has two questions'],
    ['backup', 'backup needs a folder or a file'],
    ['restore', 'restore needs a folder or a file'],
    ['sensor-token', 'sensor-token needs one name'],
    ['sensor-token a b', 'sensor-token needs one name'],
    ['sensor-token #', 'sensor-token needs one name'],
    ['restore a b', 'restore takes one folder or file, not "b" too'],
    ['backup a --port 1', '--port does not go with backup'],
    ['demo extra', 'demo takes no "extra"'],
    ['demo --boat b', '--boat does not go with demo'],
    ['check --port 1 f', '--port does not go with check'],
    ['run --boat b --mqtt u --mqtt-port 1', 'give one'],
    ['--nonsense', '--nonsense'],
  ])('%s is refused: %s', (line, part) => {
    const result = read(line);
    expect('problem' in result ? result.problem : result).toContain(part);
  });
});
