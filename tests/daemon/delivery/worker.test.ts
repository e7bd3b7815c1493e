/** The worker over a real store: order, independence, trying again, outages, and accounts of it all. */
import Database from 'better-sqlite3';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { later, never } from '../../../daemon/delivery/way.ts';
import { down, HOUR_MS, letterWith, NOTHING, office, ScriptedWay, START_MS } from './fixtures.ts';

function statesIn(folder: string): Record<string, number> {
  const db = new Database(join(folder, 'alerts.db'), { readonly: true });
  const rows = db
    .prepare<[], [string, number]>('SELECT state, count(*) FROM letter GROUP BY state')
    .raw()
    .all();
  db.close();
  return Object.fromEntries(rows);
}

describe('letters', () => {
  it('go when they are due, most urgent first, of one alert in order', async () => {
    const mail = new ScriptedWay('mail');
    const { store, pass } = office([mail]);
    const letters = [
      letterWith('b1', { alertId: 'b', priority: 'warning' }),
      letterWith('later', { dueAtMs: START_MS + 30_000 }),
      letterWith('a1', { alertId: 'a', priority: 'warning' }),
      letterWith('e', { priority: 'emergency alarm' }),
      letterWith('a2', { alertId: 'a', priority: 'alarm' }),
    ];
    store.commit({ ...NOTHING, letters });
    await pass(2000);
    expect(mail.keys).toEqual(['e', 'a1', 'a2', 'b1']);
    await pass(30_000);
    expect(mail.keys.at(-1)).toBe('later');
    expect(store.waitingLetters()).toEqual([]);
  });

  it('that were withdrawn do not go', async () => {
    const mail = new ScriptedWay('mail');
    const { store, pass } = office([mail]);
    store.commit({ ...NOTHING, letters: [letterWith('a'), letterWith('b')] });
    store.commit({ ...NOTHING, withdrawnLetters: ['a'] });
    await pass(2000);
    expect(mail.keys).toEqual(['b']);
  });

  it('for a way that is no longer in the settings are given up, and the record says why', async () => {
    const first = office([]);
    const { folder, store } = first;
    store.commit({ ...NOTHING, letters: [letterWith('a', { way: 'gone' })] });
    store.close();
    const again = office([new ScriptedWay('mail')], { folder });
    expect(again.store.waitingLetters()).toEqual([]);
    expect(again.store.wayRecords()).toMatchObject([{ way: 'gone', givenUp: 1 }]);
  });

  it('wait for no other way that hangs, and a try ends after 20 seconds', async () => {
    const mail = new ScriptedWay('mail');
    mail.script = () => null;
    const hook = new ScriptedWay('hook');
    const { store, pass, worker } = office([mail, hook]);
    store.commit({ ...NOTHING, letters: [letterWith('a'), letterWith('b', { way: 'hook' })] });
    await pass(2000);
    expect(hook.keys).toEqual(['b']);
    expect(mail.tries).toBe(1);
    await pass(20_000);
    expect(worker.states()[0]).toMatchObject({
      id: 'mail',
      lastProblem: 'it did not answer in time',
      failingSinceMs: expect.any(Number),
    });
  });

  it('go on over a mistake of ours in one way', async () => {
    const mail = new ScriptedWay('mail');
    mail.script = () => {
      if (mail.tries === 1) throw new TypeError('a mistake');
      return { answer: 'taken' };
    };
    const { store, pass } = office([mail]);
    store.commit({ ...NOTHING, letters: [letterWith('a')] });
    await pass(60_000);
    expect(mail.keys).toEqual(['a']);
  });
});

describe('trying again', () => {
  // Full jitter: random(0, min(cap, 5 s x 2^n)); with 1 for the random number it is the bound itself.
  it.each([
    ['alarm', 10 * 60_000],
    ['caution', 60 * 60_000],
  ] as const)('of an %s waits twice as long each time, at most %s ms', async (priority, capMs) => {
    const mail = new ScriptedWay('mail');
    const triedAtMs: number[] = [];
    const { store, pass, clock } = office([mail], { random: () => 1 });
    mail.script = () => {
      triedAtMs.push(clock.nowMs());
      return down();
    };
    store.commit({ ...NOTHING, letters: [letterWith('a', { priority })] });
    await pass(1000);
    await pass(4 * HOUR_MS, 10_000);
    const gaps = triedAtMs.slice(1).map((ms, index) => (ms - (triedAtMs[index] ?? 0)) / 1000);
    expect(gaps.slice(0, 6)).toEqual([10, 20, 40, 80, 160, 320]);
    expect(Math.max(...gaps)).toBe(capMs / 1000);
  });

  it('starts anew, for what waited too, once a letter went', async () => {
    const mail = new ScriptedWay('mail');
    mail.script = down;
    const { store, pass } = office([mail], { random: () => 1 });
    store.commit({ ...NOTHING, letters: [letterWith('a', { priority: 'warning' })] });
    await pass(600_000);
    expect(store.waitingLetters()[0]?.attempts).toBeGreaterThan(4);
    mail.script = () => ({ answer: 'taken' });
    // An urgent letter does not wait for another one's turn.
    store.commit({
      ...NOTHING,
      letters: [letterWith('b', { priority: 'emergency alarm', writtenAtMs: START_MS + 600_000 })],
    });
    await pass(3000);
    expect(mail.keys).toEqual(['b', 'a']);
  });

  it('does not begin before the other end allows it, however urgent', async () => {
    const mail = new ScriptedWay('mail');
    mail.script = () => later('too many', 120_000);
    const { store, pass } = office([mail], { random: () => 0 });
    store.commit({ ...NOTHING, letters: [letterWith('a')] });
    await pass(2000);
    mail.script = () => ({ answer: 'taken' });
    store.commit({ ...NOTHING, letters: [letterWith('b', { priority: 'emergency alarm' })] });
    await pass(115_000);
    expect(mail.keys).toEqual([]);
    await pass(10_000);
    expect(mail.keys).toEqual(['b', 'a']);
  });

  it('is of no use where a letter is refused for good: it stops, and health says so', async () => {
    const mail = new ScriptedWay('mail');
    mail.script = ({ key }) =>
      key === 'a' ? never('the mail server says: 550 no') : { answer: 'ok' };
    const { store, pass, worker, folder } = office([mail]);
    store.commit({ ...NOTHING, letters: [letterWith('a')] });
    await pass(60_000);
    expect(mail.tries).toBe(1);
    expect(worker.problems()).toEqual([
      'A message was refused for good. By "mail": the mail server says: 550 no.',
    ]);
    expect(statesIn(folder)).toEqual({ 'given up': 1 });
    store.commit({ ...NOTHING, letters: [letterWith('b')] });
    await pass(2000);
    expect(worker.problems()).toEqual([]);
  });

  it('of another way begins soon after one works again', async () => {
    const [mail, hook] = [new ScriptedWay('mail'), new ScriptedWay('hook')];
    mail.script = hook.script = down;
    const { store, pass } = office([mail, hook], { random: () => 1 });
    store.commit({
      ...NOTHING,
      letters: [letterWith('a', { priority: 'warning' }), letterWith('b', { way: 'hook' })],
    });
    await pass(HOUR_MS / 4 + 60_000);
    mail.script = hook.script = () => ({ answer: 'taken' });
    store.commit({
      ...NOTHING,
      letters: [
        letterWith('c', {
          way: 'hook',
          priority: 'emergency alarm',
          writtenAtMs: START_MS + HOUR_MS / 4,
        }),
      ],
    });
    await pass(2000);
    expect(hook.sent).toHaveLength(1);
    await pass(62_000);
    expect(mail.sent).toHaveLength(1);
  });
});

describe('an outage', () => {
  it('of six hours ends in one digest a contact and way, and everything is accounted for', async () => {
    const [mail, hook] = [new ScriptedWay('mail'), new ScriptedWay('hook')];
    mail.script = hook.script = down;
    const { store, pass, folder, worker, clock } = office([mail, hook], { random: Math.random });
    let written = 0;
    for (let minute = 0; minute < 360; minute += 1) {
      await pass(60_000, 10_000);
      if (minute % 6 !== 0) continue;
      const writtenAtMs = clock.nowMs();
      // Cautions are out of date after six hours, the first of them before the network is back.
      const caution = { priority: 'caution', expiresAtMs: writtenAtMs + 5 * HOUR_MS } as const;
      const change = { writtenAtMs, ...(minute % 12 === 0 && caution) };
      const letters = ['mail', 'hook'].flatMap((way) =>
        ['wren', 'finch'].map((contact) =>
          letterWith(`${minute} ${way} ${contact}`, { ...change, way, contact }),
        ),
      );
      store.commit({ ...NOTHING, letters });
      written += letters.length;
    }
    expect(worker.problems()).toEqual([
      expect.stringMatching(/^Nothing has left by "mail" for 35\d minutes: the network is unreach/),
      expect.stringMatching(/^Nothing has left by "hook" for 35\d minutes: /),
    ]);
    expect(store.waitingLetters()).toHaveLength(written);
    mail.script = hook.script = () => ({ answer: 'taken' });
    await pass(11 * 60_000);
    for (const way of [mail, hook]) {
      expect(way.sent.map(({ kind, contact }) => `${kind} ${contact}`).sort()).toEqual([
        'digest finch',
        'digest wren',
      ]);
      const told = way.sent.map(({ about }) => about.length);
      expect(told).toEqual([60, 60]);
    }
    expect(written).toBe(240);
    expect(statesIn(folder)).toEqual({ 'in a digest': 240, sent: 4 });
    expect(worker.problems()).toEqual([]);
  });

  it('that a restart cut in two ends in one digest all the same', async () => {
    const mail = new ScriptedWay('mail');
    mail.script = down;
    const first = office([mail]);
    first.store.commit({ ...NOTHING, letters: ['a', 'b', 'c'].map((key) => letterWith(key)) });
    await first.pass(20 * 60_000);
    await first.worker.stop();
    first.store.close();
    mail.script = () => ({ answer: 'taken' });
    const again = office([mail], { folder: first.folder, startMs: START_MS + HOUR_MS });
    await again.pass(2000);
    expect(mail.sent).toMatchObject([{ kind: 'digest', about: [{}, {}, {}] }]);
    expect(statesIn(first.folder)).toEqual({ 'in a digest': 3, sent: 1 });
  });

  it('of under 15 minutes ends in the letters themselves', async () => {
    const mail = new ScriptedWay('mail');
    mail.script = down;
    const { store, pass } = office([mail]);
    store.commit({ ...NOTHING, letters: ['a', 'b'].map((key) => letterWith(key)) });
    await pass(10 * 60_000);
    mail.script = () => ({ answer: 'taken' });
    await pass(4 * 60_000);
    expect(mail.keys.sort()).toEqual(['a', 'b']);
  });

  it('leaves out morning lines that are out of date', async () => {
    const mail = new ScriptedWay('mail');
    mail.script = down;
    const { store, pass, folder } = office([mail]);
    store.commit({
      ...NOTHING,
      letters: [
        letterWith('m', { kind: 'morning line', alertId: null, expiresAtMs: START_MS + HOUR_MS }),
      ],
    });
    await pass(2 * HOUR_MS, 10_000);
    mail.script = () => ({ answer: 'taken' });
    await pass(HOUR_MS, 10_000);
    expect(mail.sent).toEqual([]);
    expect(statesIn(folder)).toEqual({ 'given up': 1 });
  });
});

describe('a test of a way', () => {
  it('goes at once, is tried once, and stands in the record', async () => {
    const mail = new ScriptedWay('mail');
    const { worker, store } = office([mail]);
    const test = letterWith('test 1', { kind: 'test', about: [], alertId: null });
    expect(await worker.sendNow(test)).toEqual({ answer: 'taken' });
    expect(worker.states()).toMatchObject([
      { id: 'mail', lastSentAtMs: START_MS, lastProblem: null },
    ]);
    mail.script = down;
    expect(await worker.sendNow({ ...test, key: 'test 2' })).toMatchObject({ isFinal: false });
    expect(store.waitingLetters()).toEqual([]);
    expect(worker.states()[0]).toMatchObject({
      lastProblem: 'By "mail": the network is unreachable.',
    });
  });
});
