/** Changes to the list of persons and sessions, whether on the page or by the command line. */
import type { Role } from '../roles.ts';
import type { AccessDesk } from './desk.ts';
import type { Actor } from './audit.ts';
import { objectionToPassword } from './passwords.ts';
import { objectionToName, PERSONS_MAX } from './persons.ts';
import { BUSY, notAllowed, type AccessRefusal } from './refusals.ts';

export interface NewPerson {
  name: string;
  role: Role;
  password: string;
}

const NO_PERSON: AccessRefusal = { problem: 'There is no such person.', why: 'unknown' };

/** Each change answers with null once it and its entry are on the disk, or with why it is not. */
export class PersonList {
  readonly #desk: AccessDesk;

  constructor(desk: AccessDesk) {
    this.#desk = desk;
  }

  /** A new person who can sign in at once; the one-time code is not needed any more. */
  async add(actor: Actor, { name, role, password }: NewPerson): Promise<AccessRefusal | null> {
    const desk = this.#desk;
    const objection = objectionToName(name) ?? (await objectionToPassword(password, name));
    if (objection !== null) return notAllowed(objection);
    const hash = await desk.hash(password);
    if (hash === null) return BUSY;
    return desk.change(actor, `add ${role}`, name.trim(), () => {
      if (desk.persons.byName(name) !== null) {
        return notAllowed(`There is somebody called ${name.trim()} already.`);
      }
      if (desk.persons.count >= PERSONS_MAX) {
        return notAllowed(`There are ${PERSONS_MAX} persons already.`);
      }
      desk.persons.add(name, role, hash, desk.nowMs());
      desk.code.drop();
      return null;
    });
  }

  /** Their sessions end too. */
  remove(actor: Actor, number: number): AccessRefusal | null {
    return this.#desk.change(actor, 'remove person', this.#nameOf(number), () => {
      const refusal = this.#objectionToLosing(number);
      if (refusal === null) this.#desk.persons.remove(number);
      return refusal;
    });
  }

  /** Holds from the person's next request on. */
  setRole(actor: Actor, number: number, role: Role): AccessRefusal | null {
    return this.#desk.change(actor, `make ${role}`, this.#nameOf(number), () => {
      const refusal =
        role === 'technician' ? this.#unknown(number) : this.#objectionToLosing(number);
      if (refusal === null) this.#desk.persons.setRole(number, role);
      return refusal;
    });
  }

  /** Their sessions end. */
  async setPassword(actor: Actor, number: number, password: string): Promise<AccessRefusal | null> {
    const desk = this.#desk;
    const name = this.#nameOf(number);
    if (name === '') return NO_PERSON;
    const objection = await objectionToPassword(password, name);
    if (objection !== null) return notAllowed(objection);
    const hash = await desk.hash(password);
    if (hash === null) return BUSY;
    return desk.change(actor, 'set password', name, () => {
      desk.persons.setPassword(number, hash);
      desk.sessions.endAllOf(number);
      return null;
    });
  }

  endSession(actor: Actor, session: number): AccessRefusal | null {
    const desk = this.#desk;
    const found = desk.sessions.list(desk.nowMs()).find((each) => each.session === session);
    return desk.change(actor, 'end session', found === undefined ? '' : `of ${found.name}`, () =>
      desk.sessions.end(session)
        ? null
        : { problem: 'There is no such session any more.', why: 'unknown' },
    );
  }

  #nameOf(number: number): string {
    return this.#desk.persons.byNumber(number)?.name ?? '';
  }

  #unknown(number: number): AccessRefusal | null {
    return this.#desk.persons.byNumber(number) === null ? NO_PERSON : null;
  }

  /** Without a technician nobody could change anything any more. */
  #objectionToLosing(number: number): AccessRefusal | null {
    const { persons } = this.#desk;
    const unknown = this.#unknown(number);
    const isTechnician = persons.byNumber(number)?.role === 'technician';
    if (unknown !== null || !isTechnician || persons.technicians > 1) return unknown;
    return notAllowed('This is the last technician. Make somebody else technician first.');
  }
}
