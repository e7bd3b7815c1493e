/**
 * The desk at the gangway: who is let in, as what, for how long. It knows neither HTTP nor cookies;
 * it takes a token or a password and says whose it is. Everything it lets happen is in the audit
 * trail; a disk that refuses is an answer, never a crash.
 */
import type { Database } from 'better-sqlite3';
import type { Clock } from '../clock.ts';
import { networkOf } from '../network-address.ts';
import { isOfDisk, openAccessFile } from './access-file.ts';
import { type Actor, Audit } from './audit.ts';
import { FailedSignIns } from './failed-sign-ins.ts';
import { HashQueue } from './hash-queue.ts';
import {
  hashOf,
  hashOfNobody,
  objectionToPassword,
  SCRYPT_COST,
  type ScryptCost,
  verify,
} from './passwords.ts';
import { nameKeyOf, objectionToName, Persons } from './persons.ts';
import { PersonList } from './person-list.ts';
import { Programs } from './programs.ts';
import { type AccessRefusal, BUSY, notAllowed, RefusalBound } from './refusals.ts';
import { FRESH_MS, Sessions, type SignedIn } from './sessions.ts';
import { SetUpCode } from './set-up-code.ts';
import { BY_ADDRESS, BY_PERSON, Throttle } from './throttle.ts';

export type { AccessRefusal } from './refusals.ts';
export type { Actor } from './audit.ts';
export type { SignedIn } from './sessions.ts';

export interface DeskOptions {
  folder: string;
  clock: Clock;
  /** UTC as the computer has it, for the audit trail. */
  wallNowMs: () => number;
  /** Only tests make it cheap. */
  cost?: ScryptCost;
}

export type Let = { token: string; signedIn: SignedIn } | AccessRefusal;

const HASHES_AT_ONCE = 2;
const HASHES_WAITING = 10;
const LOOK_AT_CODE_EVERY_MS = 5000;

const WRONG: AccessRefusal = { problem: 'Name or password is wrong.', why: 'refused' };
/** Opens the file of the folder. Throws AccessProblem. */
export function openDesk(options: DeskOptions): AccessDesk {
  return new AccessDesk(options, openAccessFile(options.folder));
}

export class AccessDesk {
  readonly persons: Persons;
  readonly sessions: Sessions;
  readonly programs: Programs;
  readonly audit: Audit;
  readonly code: SetUpCode;
  readonly list: PersonList;
  readonly #db: Database;
  readonly #clock: Clock;
  readonly #cost: ScryptCost;
  readonly #hashes = new HashQueue(HASHES_AT_ONCE, HASHES_WAITING);
  readonly #byAddress = new Throttle(BY_ADDRESS);
  readonly #byPerson = new Throttle(BY_PERSON);
  readonly #refusals = new RefusalBound();
  readonly #failed = new FailedSignIns();
  /** From where each person has signed in since start: guesses from elsewhere do not delay them. */
  readonly #known = new Set<string>();
  readonly #stopLooking: () => void;
  #diskSays: string | null = null;

  constructor({ folder, clock, wallNowMs, cost = SCRYPT_COST }: DeskOptions, db: Database) {
    this.#db = db;
    this.#clock = clock;
    this.#cost = cost;
    this.persons = new Persons(db);
    this.sessions = new Sessions(db);
    this.programs = new Programs(db);
    this.code = new SetUpCode(db, folder);
    this.audit = new Audit(db, () => ({ wallMs: wallNowMs(), clockMs: clock.nowMs() }));
    this.list = new PersonList(this);
    this.#stopLooking = clock.every(LOOK_AT_CODE_EVERY_MS, () =>
      this.#write(() => this.code.look(clock.nowMs())),
    );
  }

  /** Whole sentences for the health page. */
  problems(): string[] {
    if (this.#diskSays === null) return [];
    return [`The disk refused the record of who did what: ${this.#diskSays}.`];
  }

  /** How many wrong passwords and codes were given within the last hour. */
  failedInLastHour(): number {
    return this.#failed.inLastHour(this.#clock.nowMs());
  }

  /** The daemon's clock. */
  nowMs(): number {
    return this.#clock.nowMs();
  }

  /** Nobody is registered yet, so only the one-time code lets anybody in. */
  get mustSetUp(): boolean {
    return this.persons.count === 0;
  }

  /** Whose token it is; null: nobody's. `isUse`: the person does something, not just looks on. */
  find(token: string, isUse: boolean): SignedIn | null {
    const nowMs = this.#clock.nowMs();
    try {
      const found = this.sessions.find(token, nowMs);
      if (found !== null && isUse) this.#write(() => this.sessions.noteSeen(found.session, nowMs));
      return found;
    } catch (error) {
      if (!isOfDisk(error)) throw error;
      this.#diskSays = error.message;
      return null;
    }
  }

  /** Whether the password was given a short while ago, as changes want it. */
  isFresh({ provedAtMs }: SignedIn): boolean {
    const ageMs = this.#clock.nowMs() - provedAtMs;
    return ageMs >= 0 && ageMs < FRESH_MS;
  }

  /** A new session for whoever knows the password. Name unknown and password wrong are one answer. */
  signIn(name: string, password: string, address: string): Promise<Let> {
    return this.#guarded(async () => {
      const refusal = await this.#prove(name, password, address, 'sign in');
      if (refusal !== null) return refusal;
      const person = this.persons.byName(name);
      if (person === null) return WRONG;
      this.#note({ who: person.name, role: person.role, address }, 'sign in', '', 'done');
      return this.#begin(person.number, address);
    });
  }

  /** The password once more, for a session that is getting old; the session gets a new token. */
  proveAgain(signedIn: SignedIn, password: string, address: string): Promise<Let> {
    return this.#guarded(async () => {
      const refusal = await this.#prove(
        signedIn.name,
        password,
        address,
        'give the password again',
      );
      if (refusal !== null) return refusal;
      const again = this.#begin(signedIn.person, address);
      this.sessions.end(signedIn.session);
      return again;
    });
  }

  /** The first technician, with the one-time code. */
  setUp(code: string, name: string, password: string, address: string): Promise<Let> {
    return this.#guarded(async () => {
      const actor: Actor = { who: '', role: '', address };
      if (!this.mustSetUp) return notAllowed('This boat is set up already. Sign in.');
      const objection = objectionToName(name) ?? (await objectionToPassword(password, name));
      if (objection !== null) return notAllowed(objection);
      const wait = this.#mustWait(address, null);
      if (wait !== null) return wait;
      const nowMs = this.#clock.nowMs();
      const verdict = this.code.judge(code, nowMs);
      if (verdict !== 'right') {
        this.#byAddress.count(networkOf(address), nowMs);
        this.#failed.count(nowMs);
        this.noteRefusal(actor, 'set up', `code ${verdict}`);
        return CODE_REFUSALS[verdict];
      }
      const hash = await this.#hashes.run(() => hashOf(password, this.#cost));
      if (hash === null) return BUSY;
      // Another may have come first while the hash was made.
      if (!this.mustSetUp) return notAllowed('This boat is set up already. Sign in.');
      const person = this.persons.add(name, 'technician', hash, nowMs);
      this.code.drop();
      this.#note({ ...actor, who: person.name, role: 'technician' }, 'set up', person.name, 'done');
      return this.#begin(person.number, address);
    });
  }

  signOut({ session, name, role }: SignedIn, address: string): void {
    this.#write(() => this.sessions.end(session));
    this.#note({ who: name, role, address }, 'sign out', '', 'done');
  }

  /** A password of one's own; all other sessions end, and this one gets a new token. */
  changeOwnPassword(
    signedIn: SignedIn,
    { current, next }: { current: string; next: string },
    address: string,
  ): Promise<Let> {
    return this.#guarded(async () => {
      const objection = await objectionToPassword(next, signedIn.name);
      if (objection !== null) return notAllowed(objection);
      const refusal = await this.#prove(signedIn.name, current, address, 'change own password');
      if (refusal !== null) return refusal;
      const actor: Actor = { who: signedIn.name, role: signedIn.role, address };
      const set = await this.list.setPassword(actor, signedIn.person, next);
      return set ?? this.#begin(signedIn.person, address);
    });
  }

  /** The PHC string of a new password, in its turn; null: too many wait. */
  hash(password: string): Promise<string | null> {
    return this.#hashes.run(() => hashOf(password, this.#cost));
  }

  /** Does a change and its entry in one transaction, or neither. */
  change(
    actor: Actor,
    act: string,
    object: string,
    work: () => AccessRefusal | null,
  ): AccessRefusal | null {
    try {
      return this.#db
        .transaction(() => {
          const refusal = work();
          if (refusal === null) this.audit.add({ ...actor, act, object, outcome: 'done' });
          return refusal;
        })
        .immediate();
    } catch (error) {
      return this.#refusalOf(error);
    }
  }

  /** An act of a person or of the local screen, as it ended. */
  noteAct(actor: Actor, act: string, object: string, outcome: string): void {
    this.#note(actor, act, object, outcome);
  }

  /** A refusal; of many alike only some are written, with how many were not. */
  noteRefusal(actor: Actor, act: string, outcome: string): void {
    const key = `${networkOf(actor.address)} ${act}`;
    const untold = this.#refusals.tell(key, this.#clock.nowMs());
    if (untold === null) return;
    const more = untold === 0 ? '' : `; ${untold} refusals before this one were not written`;
    this.#note(actor, act, '', `refused: ${outcome}${more}`);
  }

  close(): void {
    this.#stopLooking();
    this.#db.close();
  }

  /** Null where the password is right; throttled, and about the same work for any name. */
  async #prove(
    name: string,
    password: string,
    address: string,
    act: string,
  ): Promise<AccessRefusal | null> {
    const personKey = this.#personKey(name, address);
    const wait = this.#mustWait(address, personKey);
    if (wait !== null) return wait;
    const nowMs = this.#clock.nowMs();
    const addressKey = networkOf(address);
    this.#byAddress.count(addressKey, nowMs);
    this.#byPerson.count(personKey, nowMs);
    const person = this.persons.byName(name);
    const kept = person?.password ?? hashOfNobody(this.#cost);
    const verdict = await this.#hashes.run(() => verify(password, kept, this.#cost));
    if (verdict === null) return BUSY;
    // Removed, or given another password, while the hash was made.
    const isStill = person !== null && this.persons.byName(name)?.password === kept;
    if (person === null || !isStill || !verdict.isRight) {
      this.#failed.count(nowMs);
      // What was typed as a name may be a password by mistake: only a known name is written.
      const who = person?.name ?? 'unknown name';
      this.noteRefusal({ who, role: '', address }, act, 'name or password wrong');
      return WRONG;
    }
    this.#byAddress.takeBack(addressKey);
    this.#byPerson.forget(personKey);
    if (this.#known.size >= KNOWN_MAX) this.#known.clear();
    this.#known.add(`${person.number} ${addressKey}`);
    if (verdict.isOutdated) await this.#rehash(person.number, password, kept);
    return null;
  }

  async #rehash(number: number, password: string, kept: string): Promise<void> {
    const hash = await this.hash(password);
    const name = this.persons.byNumber(number)?.name;
    if (hash === null || name === undefined || this.persons.byName(name)?.password !== kept) return;
    this.#write(() => this.persons.setPassword(number, hash));
  }

  #personKey(name: string, address: string): string {
    const key = nameKeyOf(name.slice(0, 200));
    const person = this.persons.byName(name);
    const from = networkOf(address);
    return person !== null && this.#known.has(`${person.number} ${from}`) ? `${key} ${from}` : key;
  }

  #mustWait(address: string, personKey: string | null): AccessRefusal | null {
    const nowMs = this.#clock.nowMs();
    const byPerson = personKey === null ? 0 : this.#byPerson.waitMs(personKey, nowMs);
    const waitMs = Math.max(this.#byAddress.waitMs(networkOf(address), nowMs), byPerson);
    if (waitMs === 0) return null;
    const seconds = Math.ceil(waitMs / 1000);
    const problem = `There were too many tries. Wait ${seconds} s before the next one.`;
    return { problem, why: 'too many', retryAfterMs: waitMs };
  }

  #begin(person: number, address: string): Let {
    const nowMs = this.#clock.nowMs();
    const token = this.sessions.begin(person, address, nowMs);
    const signedIn = this.sessions.find(token, nowMs);
    return signedIn === null ? WRONG : { token, signedIn };
  }

  #note(actor: Actor, act: string, object: string, outcome: string): void {
    this.#write(() => this.audit.add({ ...actor, act, object, outcome }));
  }

  /** What is not worth a refusal where the disk will not have it; the health page says so. */
  #write(work: () => void): void {
    try {
      work();
      this.#diskSays = null;
    } catch (error) {
      if (!isOfDisk(error)) throw error;
      this.#diskSays = error.message;
    }
  }

  async #guarded(work: () => Promise<Let>): Promise<Let> {
    try {
      return await work();
    } catch (error) {
      return this.#refusalOf(error);
    }
  }

  #refusalOf(error: unknown): AccessRefusal {
    if (!isOfDisk(error)) throw error;
    this.#diskSays = error.message;
    return { problem: `The disk refused it: ${error.message}.`, why: 'busy' };
  }
}

const KNOWN_MAX = 1000;
const CODE_REFUSALS: Record<'wrong' | 'used up', AccessRefusal> = {
  wrong: { problem: 'This is not the code.', why: 'refused' },
  'used up': {
    problem:
      'There is no code in force: it is good for 15 minutes and five tries. ' +
      'On the boat’s computer, `panelward access code` makes a new one.',
    why: 'refused',
  },
};
