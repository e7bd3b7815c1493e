/** What each role is offered on the page. */
import { describe, expect, it } from 'vitest';
import type { ActName } from '../../dashboard/models/alert-acts.ts';
import {
  allowedActs,
  mayChange,
  mayLook,
  maySay,
  type Visitor,
} from '../../dashboard/models/roles.ts';

const as = (role: NonNullable<Visitor>['role']): Visitor => ({
  role,
  person: null,
  isLocal: false,
  isFresh: false,
  mustSetUp: false,
  canSignIn: true,
});
const ACTS: ActName[] = ['acknowledge', 'silence', 'in-service', 'shelve', 'out-of-service'];

describe('a visitor', () => {
  it.each([
    [null, [false, false, false], []],
    ['guest', [true, false, false], []],
    ['crew', [true, true, false], ['acknowledge', 'silence', 'shelve']],
    ['technician', [true, true, true], ACTS],
  ] as const)('as %s', (role, may, acts) => {
    const visitor = as(role);
    expect([mayLook(visitor), maySay(visitor), mayChange(visitor)]).toEqual(may);
    expect(allowedActs(ACTS, visitor)).toEqual(acts);
  });

  it('of whom the boat has said nothing yet is offered all; the boat judges', () => {
    expect(allowedActs(ACTS, null)).toEqual(ACTS);
    expect(mayLook(null)).toBe(true);
  });
});
