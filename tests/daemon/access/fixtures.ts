/** A desk on a folder of its own, with hashes that cost next to nothing. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { type AccessDesk, type Actor, openDesk } from '../../../daemon/access/desk.ts';
import type { ScryptCost } from '../../../daemon/access/passwords.ts';
import { type ManualClock, manualClock } from '../../../daemon/clock.ts';
import type { Role } from '../../../daemon/roles.ts';

export const START_MS = Date.UTC(2026, 5, 1, 12);
export const CHEAP: ScryptCost = { ln: 4, r: 1, p: 1 };
export const ACTOR: Actor = { who: 'a test', role: 'technician', address: '192.0.2.1' };
/** Long enough, and on no list. */
export const PASSWORD = 'kelp drifts by the old pier';

export function newFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-access-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

export interface AtDesk {
  desk: AccessDesk;
  clock: ManualClock;
  folder: string;
}

/** `isLooking`: for the one-time code, every five seconds; over weeks of the clock that takes long. */
export function deskIn(folder = newFolder(), cost = CHEAP, isLooking = true): AtDesk {
  const clock = manualClock(START_MS);
  const own = isLooking ? clock : { ...clock, every: () => () => {} };
  const desk = openDesk({ folder, clock: own, wallNowMs: () => clock.nowMs() + 500, cost });
  onTestFinished(() => desk.close());
  return { desk, clock, folder };
}

/** A desk that knows Ann, technician, Cal, crew, and Gus, guest; all with the same password: no code is due. */
export async function mannedDesk(): Promise<AtDesk> {
  const at = deskIn(newFolder(), CHEAP, false);
  const persons: [string, Role][] = [
    ['Ann', 'technician'],
    ['Cal', 'crew'],
    ['Gus', 'guest'],
  ];
  for (const [name, role] of persons) {
    const refusal = await at.desk.list.add(ACTOR, { name, role, password: PASSWORD });
    if (refusal !== null) throw new Error(refusal.problem);
  }
  return at;
}

/** The number of a person who is there. */
export function numberOf({ desk }: AtDesk, name: string): number {
  const person = desk.persons.byName(name);
  if (person === null) throw new Error(`nobody is called ${name}`);
  return person.number;
}

/** Signs in, which must succeed. */
export async function signedIn(at: AtDesk, name: string, address = '192.0.2.9') {
  const given = await at.desk.signIn(name, PASSWORD, address);
  if ('problem' in given) throw new Error(given.problem);
  return given;
}
