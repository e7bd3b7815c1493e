/**
 * Ten thousand guesses of a password in an hour, on the daemon's own clock: how many are looked at
 * at all, from one address or from many, at one name or at many.
 */
import { expect, test } from 'vitest';
import { type AtDesk, mannedDesk, PASSWORD } from './fixtures.ts';

const HOUR_MS = 3_600_000;
const GUESSES = 10_000;
/** The threat model asks for at most so many in effect. */
const MOST_AN_HOUR = 100;

/** Guesses at an even pace over an hour; how many of them were compared with a password. */
async function looked(
  { desk, clock }: AtDesk,
  guess: (each: number) => { name: string; address: string },
): Promise<number> {
  const beganMs = clock.nowMs();
  let count = 0;
  for (let each = 0; each < GUESSES; each += 1) {
    clock.advanceTo(beganMs + Math.floor((each * HOUR_MS) / GUESSES));
    const { name, address } = guess(each);
    const answer = await desk.signIn(name, `guess ${each}`, address);
    if (!('why' in answer)) throw new Error('a guess was right');
    if (answer.why === 'refused') count += 1;
    else expect(answer.why).toBe('too many');
  }
  return count;
}

test.each([
  ['one address at one name', () => ({ name: 'Ann', address: '192.0.2.66' })],
  ['one address at ever other names', (each: number) => ({ name: `Ann ${each}`, address: '::1' })],
  [
    'ten thousand addresses at one name',
    (each: number) => ({ name: 'Ann', address: `198.51.${each >> 8}.${each & 255}` }),
  ],
  [
    'one computer with ever other addresses of its network',
    (each: number) => ({ name: `Ann ${each}`, address: `2001:db8::${each.toString(16)}` }),
  ],
])('of ten thousand in an hour from %s, no more than a hundred are looked at', async (_, guess) => {
  const at = await mannedDesk();
  const count = await looked(at, guess);
  // The control: it is not that nothing is ever looked at.
  expect(count).toBeGreaterThanOrEqual(5);
  expect(count).toBeLessThanOrEqual(MOST_AN_HOUR);
  // And nobody is locked out for good by it.
  at.clock.advanceTo(at.clock.nowMs() + 5 * 60_000);
  expect('token' in (await at.desk.signIn('Ann', PASSWORD, '203.0.113.5'))).toBe(true);
});
