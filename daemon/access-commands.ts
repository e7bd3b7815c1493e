/**
 * `panelward access`: who may sign in, from the boat's own computer, beside a running daemon or
 * without one. A password is read from the terminal or from standard input, never from the command
 * line, which everybody on the computer can see.
 */
import { AccessProblem } from './access/access-file.ts';
import { type AccessDesk, type Actor, openDesk } from './access/desk.ts';
import type { ScryptCost } from './access/passwords.ts';
import { objectionToName } from './access/persons.ts';
import { PROGRAMS_MAX } from './access/programs.ts';
import { type AccessRefusal, notAllowed } from './access/refusals.ts';
import type { AccessCommand } from './commands.ts';
import type { Clock } from './clock.ts';

export interface AccessSurroundings {
  folder: string;
  clock: Clock;
  say: (line: string) => void;
  complain: (line: string) => void;
  /** One line, without showing it where somebody types it. */
  readPassword: (question: string) => Promise<string>;
  /** Only tests make it cheap. */
  cost?: ScryptCost;
}

const ACTOR: Actor = { who: 'command line', role: 'technician', address: '' };
const EXIT_OK = 0;
const EXIT_PROBLEM = 1;

/** Gives the exit code. */
export async function runAccess(
  command: AccessCommand,
  surroundings: AccessSurroundings,
): Promise<number> {
  const { folder, clock, complain, cost } = surroundings;
  let desk: AccessDesk;
  try {
    desk = openDesk({ folder, clock, wallNowMs: () => clock.nowMs(), ...(cost && { cost }) });
  } catch (error) {
    if (!(error instanceof AccessProblem)) throw error;
    complain(error.message);
    return EXIT_PROBLEM;
  }
  try {
    const refusal = await doIt(desk, command, surroundings);
    if (refusal === null) return EXIT_OK;
    complain(refusal.problem);
    return EXIT_PROBLEM;
  } finally {
    desk.close();
  }
}

async function doIt(
  desk: AccessDesk,
  command: AccessCommand,
  { say, readPassword }: AccessSurroundings,
): Promise<AccessRefusal | null> {
  switch (command.act) {
    case 'list':
      return list(desk, say);
    case 'sessions':
      return sessions(desk, say);
    case 'audit':
      return audit(desk, command.isCheck, say);
    case 'code':
      return newCode(desk, say);
    case 'tokens':
      return programs(desk, say);
    case 'token':
      return newToken(desk, command.name, say);
    case 'end-token':
      return endToken(desk, command.name, say);
    case 'add': {
      const password = await readPassword(`Password for ${command.name}: `);
      const { name, role } = command;
      return saying(
        await desk.list.add(ACTOR, { name, role, password }),
        `${name} can sign in.`,
        say,
      );
    }
    case 'password':
      return withPerson(desk, command.name, async (number) => {
        const password = await readPassword(`New password for ${command.name}: `);
        const set = await desk.list.setPassword(ACTOR, number, password);
        return saying(
          set,
          `${command.name} has another password and is signed out everywhere.`,
          say,
        );
      });
    case 'remove':
      return withPerson(desk, command.name, async (number) =>
        saying(
          desk.list.remove(ACTOR, number),
          `${command.name} is removed and signed out everywhere.`,
          say,
        ),
      );
  }
}

function saying(
  refusal: AccessRefusal | null,
  line: string,
  say: (line: string) => void,
): AccessRefusal | null {
  if (refusal === null) say(line);
  return refusal;
}

async function withPerson(
  desk: AccessDesk,
  name: string,
  work: (number: number) => Promise<AccessRefusal | null>,
): Promise<AccessRefusal | null> {
  const person = desk.persons.byName(name);
  if (person !== null) return work(person.number);
  return { problem: `There is nobody called ${name}; see panelward access list.`, why: 'unknown' };
}

const instant = (ms: number): string => new Date(ms).toISOString().slice(0, 16).replace('T', ' ');

function list(desk: AccessDesk, say: (line: string) => void): null {
  const persons = desk.persons.list();
  if (persons.length === 0) say('Nobody is registered yet.');
  for (const { name, role, madeAtMs } of persons) {
    say(`${name}  ${role}, since ${instant(madeAtMs)} UTC`);
  }
  return null;
}

function sessions(desk: AccessDesk, say: (line: string) => void): null {
  const all = desk.sessions.list(desk.nowMs());
  if (all.length === 0) say('Nobody is signed in.');
  for (const { session, name, role, address, madeAtMs, seenAtMs } of all) {
    say(
      `${session}  ${name} (${role}) from ${address}, since ${instant(madeAtMs)}, last used ${instant(seenAtMs)} UTC`,
    );
  }
  return null;
}

/** Newest last, as a terminal shows it best; `--check` goes through the whole chain instead. */
function audit(
  desk: AccessDesk,
  isCheck: boolean,
  say: (line: string) => void,
): AccessRefusal | null {
  if (isCheck) {
    const { rows, newestHash, problem } = desk.audit.check();
    if (problem !== null) return { problem, why: 'not allowed' };
    say(`All ${rows} entries are there and unchanged. The newest is ${newestHash || 'none'}.`);
    return null;
  }
  for (const row of desk.audit.list(LISTED).toReversed()) {
    const { seq, wallMs, who, role, address, act, object, outcome } = row;
    say([seq, instant(wallMs), who, role, address, act, object, outcome].join('  '));
  }
  return null;
}

const LISTED = 200;

function newCode(desk: AccessDesk, say: (line: string) => void): AccessRefusal | null {
  if (!desk.mustSetUp) {
    return {
      problem: 'There are persons already: panelward access password NAME sets another password.',
      why: 'not allowed',
    };
  }
  const code = desk.code.renew();
  say(`One-time code for the first sign-in: ${code.slice(0, 4)} ${code.slice(4)}`);
  say('It is good for 15 minutes and five tries, on the page of the running panelward.');
  return null;
}

function programs(desk: AccessDesk, say: (line: string) => void): null {
  const all = desk.programs.list();
  if (all.length === 0) say('No program has a token.');
  for (const { name, madeAtMs } of all) say(`${name}  since ${instant(madeAtMs)} UTC`);
  return null;
}

function newToken(
  desk: AccessDesk,
  name: string,
  say: (line: string) => void,
): AccessRefusal | null {
  const objection = objectionToName(name);
  if (objection !== null) return notAllowed(objection);
  let token = '';
  const refusal = desk.change(ACTOR, 'make token', name, () => {
    const others = desk.programs.list().filter((each) => each.name !== name);
    if (others.length >= PROGRAMS_MAX) {
      return notAllowed(`There are ${PROGRAMS_MAX} programs with a token already.`);
    }
    token = desk.programs.add(name, desk.nowMs());
    return null;
  });
  if (refusal !== null) return refusal;
  say(`Token of ${name}: ${token}`);
  say('It is not kept and is not shown again; one made for that name before is void. The program');
  say('sends it as `Authorization: Bearer TOKEN` and may read /metrics and /healthz, no more.');
  return null;
}

function endToken(
  desk: AccessDesk,
  name: string,
  say: (line: string) => void,
): AccessRefusal | null {
  const refusal = desk.change(ACTOR, 'end token', name, () =>
    desk.programs.remove(name)
      ? null
      : { problem: `No program called ${name} has a token.`, why: 'unknown' },
  );
  return saying(refusal, `The token of ${name} is void.`, say);
}
