/** The watcher over real HTTP and its real file: what it lets in, what it refuses, what it tells. */
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { heardOf, objectionTo } from '../../../daemon/ashore/admission.ts';
import type { Heard } from '../../../daemon/ashore/beat.ts';
import { manualClock } from '../../../daemon/clock.ts';
import { settingsSchema } from '../../../daemon/settings/settings.ts';
import {
  proofOf,
  SIGNATURE_HEADER,
  signatureOf,
  TIMESTAMP_HEADER,
} from '../../../daemon/signature.ts';
import { startAshore } from '../../../daemon/watch-ashore.ts';
import { beatOf, beats, scratch, SECRET, send, SETTINGS, START_MS, watching } from './beats.ts';

const MINUTE_MS = 60_000;

describe('a signature', () => {
  // OpenSSL's own HMAC-SHA256 (RFC 2104) is the witness.
  test('is what openssl makes of the same secret and bytes', () => {
    const body = '{"boat":"Heron","says":"house battery 76 %"}';
    const out = execFileSync('openssl', ['dgst', '-sha256', '-hmac', SECRET], {
      input: `1783131240000.${body}`,
      encoding: 'utf8',
    });
    const hex = /[0-9a-f]{64}/.exec(out)?.[0];
    expect(signatureOf(SECRET, '1783131240000', body)).toBe(`v1=${hex}`);
  });
});

describe('what is let in', () => {
  test('a signed beat is heard, and the answer proves that we have the secret and this beat', async () => {
    const { ashore } = await watching();
    const beat = beatOf();
    const answer = await beats(ashore.address, beat);
    expect(answer.status).toBe(200);
    const signature = signatureOf(SECRET, String(beat.sentAtMs), JSON.stringify(beat));
    expect(JSON.parse(answer.text)).toEqual({
      heard: { boot: 3, sequence: 1 },
      proof: proofOf(SECRET, signature),
    });
    expect(ashore.watcher.standings()).toMatchObject([
      { id: 'heron', standing: 'heard', lastHeardAtMs: START_MS },
    ]);
  });

  test('keys of a newer panelward are passed over', async () => {
    const { ashore } = await watching();
    const newer = { ...beatOf(), propellers: 2 };
    expect((await beats(ashore.address, newer)).status).toBe(200);
  });

  test('the next start of panelward begins its numbers anew', async () => {
    const { ashore } = await watching();
    await beats(ashore.address, beatOf({ boot: 3, sequence: 900 }));
    expect((await beats(ashore.address, beatOf({ boot: 4, sequence: 1 }))).status).toBe(200);
  });

  test('a record that began anew is let in where her clock is vouched for and later', async () => {
    const { ashore, clock } = await watching();
    await beats(ashore.address, beatOf({ boot: 30 }));
    clock.advanceTo(START_MS + MINUTE_MS);
    const anew = beatOf({ boot: 1, sentAtMs: START_MS + MINUTE_MS });
    expect((await beats(ashore.address, anew)).status).toBe(200);
    const unsure = beatOf({ boot: 0, clock: 'unverified', sentAtMs: START_MS + 2 * MINUTE_MS });
    const refused = await beats(ashore.address, unsure);
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('her record began anew with a clock that nobody vouches for');
  });

  test('a boat without a clock of her own is heard, whatever year she thinks it is', async () => {
    const { ashore } = await watching();
    const beat = beatOf({ clock: 'unverified', sentAtMs: 86_400_000 });
    expect((await beats(ashore.address, beat)).status).toBe(200);
  });
});

describe('what is refused', () => {
  test('the same beat twice, and any that is older', async () => {
    const { ashore } = await watching();
    await beats(ashore.address, beatOf({ sequence: 7 }));
    for (const sequence of [7, 6, 1]) {
      const answer = await beats(ashore.address, beatOf({ sequence }));
      expect(answer.status).toBe(409);
      expect(answer.text).toContain(`(start 3, number ${sequence}) is not later`);
    }
  });

  test('a beat that somebody kept for six minutes, or from a clock that is six minutes ahead', async () => {
    const { ashore } = await watching();
    for (const awayMs of [-6 * MINUTE_MS, 6 * MINUTE_MS]) {
      const answer = await beats(ashore.address, beatOf({ sentAtMs: START_MS + awayMs }));
      expect(answer.status).toBe(409);
      expect(answer.text).toContain('6 min');
    }
    for (const awayMs of [-5 * MINUTE_MS, 5 * MINUTE_MS]) {
      const sequence = awayMs < 0 ? 1 : 2;
      const answer = await beats(ashore.address, beatOf({ sequence, sentAtMs: START_MS + awayMs }));
      expect(answer.status).toBe(200);
    }
  });

  test('a wrong secret, a changed body, a changed instant, no signature and an unknown boat, all alike', async () => {
    const { ashore } = await watching();
    const beat = beatOf();
    const body = JSON.stringify(beat);
    const timestamp = String(beat.sentAtMs);
    const signature = signatureOf(SECRET, timestamp, body);
    const signed = { 'content-type': 'application/json', [TIMESTAMP_HEADER]: timestamp };
    const answers = [
      await beats(ashore.address, beat, { secret: 'another secret of the same length...' }),
      await send(ashore.address, '/beats/heron', {
        body: body.replace('76 %', '77 %'),
        headers: { ...signed, [SIGNATURE_HEADER]: signature },
      }),
      await send(ashore.address, '/beats/heron', {
        body,
        headers: { ...signed, [TIMESTAMP_HEADER]: '1', [SIGNATURE_HEADER]: signature },
      }),
      await send(ashore.address, '/beats/heron', { body, headers: signed }),
      await beats(ashore.address, beat, { boat: 'constructor' }),
      await beats(ashore.address, beat, { boat: 'egret' }),
    ];
    expect(answers.map(({ status }) => status)).toEqual([401, 401, 401, 401, 401, 401]);
    expect(new Set(answers.map(({ text }) => text)).size).toBe(1);
    expect(ashore.watcher.standings()).toMatchObject([{ standing: 'not heard yet' }]);
  });

  test('what is too large, no JSON, no beat, another method or another address', async () => {
    const { ashore } = await watching();
    const json = { 'content-type': 'application/json' };
    const large = await send(ashore.address, '/beats/heron', {
      body: 'x'.repeat(70_000),
      headers: json,
    });
    expect(large.status).toBe(413);
    const form = await send(ashore.address, '/beats/heron', {
      body: 'a=b',
      headers: { 'content-type': 'application/x-www-form-urlencoded' },
    });
    expect(form.status).toBe(415);
    const signedNonsense = async (body: string): Promise<number> => {
      const headers = {
        ...json,
        [TIMESTAMP_HEADER]: '5',
        [SIGNATURE_HEADER]: signatureOf(SECRET, '5', body),
      };
      const answer = await send(ashore.address, '/beats/heron', { body, headers });
      expect(answer.text).toContain('problem');
      return answer.status;
    };
    const nonsense = [
      '',
      '{',
      '[]',
      'null',
      '{"format":1}',
      JSON.stringify(beatOf()).replace('"boot":3', '"boot":1e999'),
    ];
    for (const body of nonsense) expect(await signedNonsense(body)).toBe(400);
    // Signed with an instant that is not its own.
    expect(await signedNonsense(JSON.stringify(beatOf()))).toBe(400);
    expect((await send(ashore.address, '/beats/heron', { method: 'GET' })).status).toBe(404);
    expect((await send(ashore.address, '/elsewhere', { method: 'GET' })).status).toBe(404);
  });

  test('who guesses is held off, and the boat on the same network is heard all the same', async () => {
    const { ashore, clock } = await watching();
    const wrong = { secret: 'guess after guess after guess' };
    const statuses: number[] = [];
    for (let i = 0; i < 62; i++)
      statuses.push((await beats(ashore.address, beatOf(), wrong)).status);
    expect(statuses.slice(0, 60).every((status) => status === 401)).toBe(true);
    expect(statuses.slice(60)).toEqual([429, 429]);
    expect((await beats(ashore.address, beatOf())).status).toBe(200);
    clock.advanceTo(START_MS + MINUTE_MS);
    expect((await beats(ashore.address, beatOf(), wrong)).status).toBe(401);
  });

  test('of any order of beats each is let in once at most', () => {
    const beat = fc.record({
      boot: fc.integer({ min: 0, max: 3 }),
      sequence: fc.integer({ min: 1, max: 5 }),
      sentAtMs: fc.integer({ min: 0, max: 9 }).map((n) => START_MS + n * 1000),
      clock: fc.constantFrom('unverified' as const, 'synchronised' as const),
    });
    fc.assert(
      fc.property(fc.array(beat, { maxLength: 60 }), (sent) => {
        const seen = new Set<string>();
        let last: Heard | null = null;
        for (const own of sent) {
          const arrived = beatOf(own);
          if (objectionTo(arrived, last, START_MS) !== null) continue;
          last = heardOf(arrived, last, START_MS);
          const name = `${own.boot}/${own.sequence}/${own.sentAtMs}/${own.clock}`;
          expect(seen.has(name)).toBe(false);
          seen.add(name);
        }
      }),
      { numRuns: 2000 },
    );
  });

  test('a kept beat of a clock that nobody vouches for, from before her record began anew', () => {
    const at = (boot: number, seconds: number, clock: 'unverified' | 'synchronised') =>
      beatOf({ boot, sequence: 1, sentAtMs: START_MS + seconds * 1000, clock });
    const before = at(3, 0, 'unverified');
    const anew = at(0, 1, 'synchronised');
    const first = heardOf(before, null, START_MS);
    expect(objectionTo(anew, first, START_MS)).toBeNull();
    const then = heardOf(anew, first, START_MS);
    expect(objectionTo(before, then, START_MS)).toContain('was heard before');
    expect(objectionTo(at(1, 2, 'synchronised'), then, START_MS)).toBeNull();
    expect(objectionTo(at(4, 2, 'unverified'), then, START_MS)).toBeNull();
  });
});

describe('what is told', () => {
  test('one letter when she falls silent, to those who are told first, and one when she is back', async () => {
    const { ashore, clock, letters } = await watching();
    await beats(ashore.address, beatOf());
    clock.advanceTo(START_MS + 3 * MINUTE_MS - 1000);
    expect(letters).toEqual([]);
    clock.advanceTo(START_MS + 30 * MINUTE_MS);
    expect(letters).toMatchObject([
      { contact: 'owner', way: 'mail', kind: 'self', priority: 'alarm' },
    ]);
    const [silent] = letters;
    expect(silent?.headline).toBe(
      'Heron: no word since 02:14 (3 min); shore power on, house battery 76 %, no alert open',
    );
    expect(silent?.text).toContain(
      'No word since; router, power or panelward itself may be down: the boat cannot say which.',
    );
    const now = clock.nowMs();
    await beats(ashore.address, beatOf({ sequence: 31, sentAtMs: now, upSeconds: 9000 }));
    await beats(ashore.address, beatOf({ sequence: 32, sentAtMs: now, upSeconds: 9001 }));
    expect(letters.slice(1)).toMatchObject([{ contact: 'owner', kind: 'self' }]);
    expect(letters[1]?.headline).toBe(
      'Heron is back after 30 min. No power loss was recorded aboard.',
    );
    expect(letters[1]?.text).toContain('Her computer and panelward ran all the while.');
  });

  test('after an hour everybody hears of it, and everybody of her return', async () => {
    const { ashore, clock, letters } = await watching();
    await beats(ashore.address, beatOf());
    clock.advanceTo(START_MS + 64 * MINUTE_MS);
    expect(letters.map(({ contact }) => contact)).toEqual(['owner', 'owner', 'friend']);
    expect(letters[1]?.headline).toContain('still no word since 02:14');
    await beats(ashore.address, beatOf({ sequence: 70, sentAtMs: clock.nowMs() }));
    expect(letters.slice(3).map(({ contact }) => contact)).toEqual(['owner', 'friend']);
    expect(new Set(letters.map(({ key }) => key)).size).toBe(5);
  });

  test('a shore loss that she recorded is named with its time, and so is a restart', async () => {
    const { ashore, clock, letters } = await watching();
    await beats(ashore.address, beatOf());
    clock.advanceTo(START_MS + 60 * MINUTE_MS);
    const loss = {
      event: 17,
      rule: 'shore-power-lost',
      headline: 'Shore power lost at the bow inlet',
      raisedAtMs: START_MS + MINUTE_MS,
      returnedAtMs: START_MS + 41 * MINUTE_MS,
    };
    const old = { ...loss, event: 9, headline: 'An older loss' };
    await beats(
      ashore.address,
      beatOf({
        boot: 4,
        sentAtMs: clock.nowMs(),
        upSeconds: 600,
        computer: { run: 'run-2', upSeconds: 630 },
        lastEvent: 21,
        recent: [loss, old],
      }),
    );
    const back = letters.at(-1);
    expect(back?.headline).toBe(
      'Heron is back after 60 min. Shore power was really lost, for about 40 min, and is on again.',
    );
    expect(back?.text).toContain(
      'Her computer was without power or was started anew. It has been up for 11 min.',
    );
    expect(back?.text).toContain('Shore power lost at the bow inlet (02:15, over at 02:55).');
    expect(back?.text).not.toContain('An older loss');
  });

  test('shore still off, only panelward started anew, and an orderly stop are told as what they are', async () => {
    const { ashore, clock, letters } = await watching();
    await beats(ashore.address, beatOf({ isLast: true }));
    clock.advanceTo(START_MS + 10 * MINUTE_MS);
    expect(letters.at(-1)?.text).toContain('panelward was being stopped in an orderly way');
    const anew = beatOf({ boot: 4, sentAtMs: clock.nowMs(), upSeconds: 60, shore: 'absent' });
    await beats(ashore.address, anew);
    expect(letters.at(-1)?.headline).toBe('Heron is back after 10 min. Shore power is off now.');
    expect(letters.at(-1)?.text).toContain(
      'Her computer ran on, but panelward itself was started anew, 60 s ago.',
    );
  });
});

describe('a restart of the watcher', () => {
  test('neither forgets nor alarms falsely, and no beat from before it counts again', async () => {
    const first = await watching();
    await beats(first.ashore.address, beatOf({ sequence: 5 }));
    first.clock.advanceTo(START_MS + 2 * MINUTE_MS);
    await first.ashore.stop();
    const atMs = START_MS + 600 * MINUTE_MS;
    const { ashore, clock, letters } = await watching({ folder: first.folder, atMs });
    expect(ashore.watcher.standings()).toMatchObject([
      { standing: 'heard', lastHeardAtMs: START_MS },
    ]);
    clock.advanceTo(atMs + 59_000);
    expect(letters).toEqual([]);
    const replayed = beatOf({ sequence: 5, sentAtMs: clock.nowMs() });
    expect((await beats(ashore.address, replayed)).status).toBe(409);
    clock.advanceTo(atMs + 60_000);
    expect(letters).toHaveLength(1);
  });

  test('a letter that could not be handed over is handed over after it, and once', async () => {
    const folder = scratch();
    const settings = SETTINGS;
    const refusing = await watching({ folder, letters: Object.freeze([]) as never });
    await beats(refusing.ashore.address, beatOf());
    refusing.clock.advanceTo(START_MS + 5 * MINUTE_MS);
    expect(refusing.ashore.watcher.problems().join(' ')).toContain('could not be handed over');
    await refusing.ashore.stop();
    const { letters, clock } = await watching({ folder, settings, atMs: START_MS + 6 * MINUTE_MS });
    clock.advanceTo(START_MS + 8 * MINUTE_MS);
    expect(letters).toHaveLength(1);
  });

  test('a file that is broken is set aside and the watch goes on', async () => {
    const folder = scratch();
    writeFileSync(join(folder, 'ashore.db'), 'this was a database once'.repeat(100));
    const { ashore } = await watching({ folder });
    expect((await beats(ashore.address, beatOf())).status).toBe(200);
  });
});

describe('the list', () => {
  const html = { accept: 'text/html' };

  test('is JSON for programs and plain text for browsers, with nothing that runs', async () => {
    const { ashore } = await watching();
    await beats(ashore.address, beatOf({ says: 'shore power on <script>alert(1)</script>' }));
    const json = await send(ashore.address, '/', { method: 'GET' });
    expect(JSON.parse(json.text)).toMatchObject({
      status: 'ok',
      boats: [{ id: 'heron', name: 'Heron', standing: 'heard' }],
    });
    const page = await send(ashore.address, '/', { method: 'GET', headers: html });
    expect(page.text).toContain('<strong>Heron</strong>: heard; last heard 02:14');
    expect(page.text).not.toContain('<script>');
    expect(page.headers['content-security-policy']).toContain("default-src 'none'");
  });

  test('is not for whoever comes through a proxy or by another name, but for the password', async () => {
    const secrets = new Map([
      ['heron', SECRET],
      ['list', 'the list is for the family only'],
    ]);
    const settings = settingsSchema.parse({
      ...withoutUndefined(SETTINGS),
      watch: { passwordSecret: 'list' },
    });
    const { ashore } = await watching({ settings, secrets });
    const forwarded = { 'x-forwarded-for': '203.0.113.7' };
    const basic = (words: string): Record<string, string> => ({
      ...forwarded,
      authorization: `Basic ${Buffer.from(`x:${words}`).toString('base64')}`,
    });
    const ask = async (headers: Record<string, string>): Promise<number> =>
      (await send(ashore.address, '/', { method: 'GET', headers })).status;
    expect(await ask(forwarded)).toBe(401);
    expect(await ask({ host: 'watch.example.org' })).toBe(401);
    expect(await ask(basic('wrong'))).toBe(401);
    expect(await ask(basic('the list is for the family only'))).toBe(200);
  });

  test('without a password it is for this computer only', async () => {
    const { ashore } = await watching();
    const answer = await send(ashore.address, '/', {
      method: 'GET',
      headers: { forwarded: 'for=1' },
    });
    expect(answer.status).toBe(403);
  });
});

describe('starting', () => {
  const start = async (settings: unknown, secrets: [string, string][]): Promise<string> => {
    const started = await startAshore({
      settings: settingsSchema.parse(settings),
      secrets: new Map(secrets),
      folder: scratch(),
      host: '127.0.0.1',
      port: 0,
      clock: manualClock(START_MS),
      utcNowMs: () => START_MS,
      tell: () => {},
      log: () => {},
    });
    if ('problem' in started) return started.problem;
    await started.stop();
    return 'started';
  };
  const heron = { heron: { name: 'Heron', signingSecret: 'heron' } };

  test('says in a sentence what is missing', async () => {
    expect(await start({}, [])).toContain('no boat to watch');
    expect(await start({ boats: heron }, [])).toContain('secrets.yaml has no such line');
    expect(await start({ boats: heron }, [['heron', 'short']])).toContain('at least 24 characters');
    const tls = { certificate: '/nowhere/cert.pem', key: '/nowhere/key.pem' };
    expect(await start({ boats: heron, watch: tls }, [['heron', SECRET]])).toContain(
      '/nowhere/cert.pem',
    );
    expect(await start({ boats: heron }, [['heron', SECRET]])).toBe('started');
  });
});

/** As a settings file would hold it. */
function withoutUndefined(settings: unknown): object {
  return JSON.parse(JSON.stringify(settings)) as object;
}
