/** `panelward check` and `panelward rehearse`: files in, lines for a person and an exit code out. */
import { readFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { parse } from 'yaml';
import { rehearsalSchema, rehearse } from '../rules/index.ts';
import type { Boat, Rehearsal } from '../rules/index.ts';
import { openBoatFile } from './boat-file.ts';
import { readBrokerLogin } from './broker-login.ts';
import { readSensorAccess } from './intake/sensor-access.ts';
import { openSettings } from './settings/open-settings.ts';
import type { OpenedSettings } from './settings/open-settings.ts';

export type Print = (line: string) => void;

/** 0 when every file is right (warnings aside), 1 otherwise. */
export function checkFiles(files: readonly string[], print: Print): number {
  let code = 0;
  for (const file of files) {
    const { boat, lines } = openBoatFile(file);
    for (const line of lines) print(line);
    if (!boat) {
      code = 1;
      print(`${file}: not usable: ${counted(lines.length, 'problem')}`);
      continue;
    }
    const { sources, selectors, mainSwitches, buses, circuits, points } = boat;
    const counts = [
      counted(sources.length, 'source'),
      counted(selectors.length, 'selector'),
      counted(mainSwitches.length, 'main switch', 'main switches'),
      counted(buses.length, 'bus', 'buses'),
      counted(circuits.length, 'circuit'),
      counted(points.size, 'point'),
    ];
    print(`${file}: ${boat.name} is usable: ${counts.join(', ')}`);
  }
  return code;
}

/** 0 when panelward could run with these settings and the secrets beside them, 1 otherwise. */
export function checkSettings(file: string, print: Print): number {
  const opened = openSettings({ folder: dirname(file), settingsFile: file });
  const problems = 'problems' in opened ? opened.problems : settingsProblems(opened);
  for (const problem of problems) print(problem);
  const verdict =
    problems.length === 0 ? 'usable' : `not usable: ${counted(problems.length, 'problem')}`;
  print(`${file}: ${verdict}`);
  return problems.length === 0 ? 0 : 1;
}

/** What only shows when settings and secrets meet. */
function settingsProblems({ settings, secrets }: OpenedSettings): string[] {
  return [
    readSensorAccess(settings.sensors, secrets),
    readBrokerLogin(settings.broker, secrets),
  ].flatMap((read) => ('problem' in read ? read.problem : []));
}

const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count} ${count === 1 ? one : many}`;

/** 0 when every rehearsal came as expected, 1 otherwise. */
export function rehearseFiles(boatPath: string, files: readonly string[], print: Print): number {
  const { boat, lines } = openBoatFile(boatPath);
  for (const line of lines) print(line);
  if (!boat) return 1;
  return files.map((file) => rehearseFile(boat, file, print)).includes(false) ? 1 : 0;
}

function rehearseFile(boat: Boat, file: string, print: Print): boolean {
  const rehearsal = readRehearsal(file);
  if ('problems' in rehearsal) {
    for (const problem of rehearsal.problems) print(`${file}: ${problem}`);
    return false;
  }
  const outcome = rehearse(boat, rehearsal.value);
  if ('problems' in outcome) {
    for (const problem of outcome.problems) print(`${file}: ${problem}`);
    return false;
  }
  for (const { atSeconds, expected, found } of outcome.misses) {
    print(
      `${file}: at ${atSeconds} s expected [${expected.join(', ')}], found [${found.join(', ')}]`,
    );
  }
  const isGood = outcome.misses.length === 0;
  print(`${file}: ${rehearsal.value.title}: ${isGood ? 'as expected' : 'otherwise than expected'}`);
  return isGood;
}

function readRehearsal(file: string): { value: Rehearsal } | { problems: string[] } {
  let content: unknown;
  try {
    content = parse(readFileSync(file, 'utf8'));
  } catch (error) {
    return { problems: [error instanceof Error ? error.message : String(error)] };
  }
  const { data, error } = rehearsalSchema.safeParse(content);
  if (error) {
    return { problems: error.issues.map((issue) => `${issue.path.join('.')}: ${issue.message}`) };
  }
  return { value: data };
}
