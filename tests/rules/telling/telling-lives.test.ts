/**
 * Random lives: alerts that come, go and get worse, persons, modes, the time of day and restarts in
 * any order, through the rules' own ledger. What must hold of every one of them stands in `promises`.
 */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { isMuted, isStanding } from '../../../rules/alerts/alert-states.ts';
import type { Act, Letter, Mode, Priority } from '../../../rules/index.ts';
import { digestOf } from '../../../rules/index.ts';
import { ann, HOUR_MS, MINUTE_MS, Stage, ZONE } from './telling-stage.ts';
import type { Holding } from './telling-stage.ts';

const LIVES = Number(process.env['LIVES'] ?? 60);

const CONTACTS = {
  ann: ann({ quiet: { from: '22:30', to: '07:00' }, morningLine: '07:30', ways: ['mail', 'push'] }),
  ben: ann({ name: 'Ben', told: 'second', priority: 'alarm' }),
  cleo: ann({ name: 'Cleo', told: 'everybody', modes: ['away'], priority: 'caution' }),
};

const KEYS = ['a', 'b', 'c', 'd'] as const;

interface Beat {
  /** What begins, ends or changes. */
  changes: Partial<Record<(typeof KEYS)[number], Priority | 'over'>>;
  pace: { forMs: number; everyMs: number };
  mode: Mode | null;
  act: { key: (typeof KEYS)[number]; act: (nowMs: number) => Act } | null;
  isRestart: boolean;
}

const priority = fc.constantFrom<Priority | 'over'>(
  'over',
  'over',
  'emergency alarm',
  'alarm',
  'alarm',
  'warning',
  'warning',
  'caution',
);
const acts = fc.constantFrom<(nowMs: number) => Act>(
  () => ({ type: 'acknowledge' }),
  () => ({ type: 'acknowledge' }),
  (nowMs) => ({ type: 'shelve', untilMs: nowMs + HOUR_MS }),
  () => ({ type: 'unshelve' }),
  (nowMs) => ({ type: 'take out of service', reason: 'test', reviewAtMs: nowMs + 9 * HOUR_MS }),
  () => ({ type: 'put back in service' }),
);
const pace = fc.constantFrom(
  { forMs: 3000, everyMs: 1000 },
  { forMs: 20_000, everyMs: 1000 },
  { forMs: 40_000, everyMs: 1000 },
  { forMs: 5 * MINUTE_MS, everyMs: 5000 },
  { forMs: HOUR_MS, everyMs: MINUTE_MS },
  { forMs: 9 * HOUR_MS, everyMs: 10 * MINUTE_MS },
);
const beat: fc.Arbitrary<Beat> = fc.record({
  changes: fc.dictionary(fc.constantFrom(...KEYS), priority, { maxKeys: 3 }),
  pace,
  mode: fc.option(fc.constantFrom<Mode>('aboard', 'away', 'work in progress'), { freq: 4 }),
  act: fc.option(fc.record({ key: fc.constantFrom(...KEYS), act: acts })),
  isRestart: fc.boolean(),
});

/** 1 June 2026, six in the evening in Amsterdam: the night comes soon. */
const START_MS = Date.UTC(2026, 5, 1, 16);

function play(beats: readonly Beat[], restarts: boolean | 'always'): Stage {
  const stage = new Stage(CONTACTS, START_MS);
  stage.explains = { b: ['c'] };
  stage.isRestartedAlways = restarts === 'always';
  const holding: Holding = {};
  for (const own of beats) {
    for (const [key, value] of Object.entries(own.changes)) {
      if (value === 'over') delete holding[key];
      else holding[key] = value;
    }
    if (own.mode) stage.mode = own.mode;
    if (own.isRestart && restarts === true) stage.restart();
    stage.hold(holding, own.pace.forMs, own.pace.everyMs);
    const { act } = own;
    if (act && stage.open.some(({ rule }) => rule === act.key)) {
      stage.tryAct(act.key, act.act(stage.nowMs));
    }
  }
  // Long enough for all that waits, and into the day.
  stage.mode = 'away';
  stage.hold(holding, 15 * HOUR_MS, 20 * MINUTE_MS);
  return stage;
}

const lives = fc.array(beat, { minLength: 1, maxLength: 14 });

const tells = (letter: Letter): Letter['about'] =>
  letter.about.filter(({ overAtMs }) => overAtMs === null);

/** What each person has last been told of each alert. */
function lastTold(letters: readonly Letter[]): Map<string, 'holds' | 'over'> {
  const told = new Map<string, 'holds' | 'over'>();
  for (const { contact, way, about } of letters) {
    if (way === 'push') continue;
    for (const { alertId, overAtMs } of about) {
      told.set(`${contact} ${alertId}`, overAtMs === null ? 'holds' : 'over');
    }
  }
  return told;
}

function promises(stage: Stage): void {
  const { letters, open } = stage;
  const keys = letters.map(({ key }) => key);
  expect(new Set(keys).size, 'no letter is written twice').toBe(keys.length);
  for (const letter of letters) {
    const all = `${letter.headline}\n${letter.text}`;
    expect(letter.headline.length).toBeLessThanOrEqual(160);
    expect(letter.headline).toMatch(/^Sable Plover: /);
    expect(all).not.toMatch(/NaN|undefined|Infinity|null|\[object/);
    expect(letter.headline).not.toContain('!');
    expect(letter.text, 'says what panelward is not').toContain('proves a circuit dead');
  }
  isWithinBudget(letters);
  const told = lastTold(letters);
  const settledMs = stage.nowMs - 2 * HOUR_MS;
  for (const alert of open) {
    const words = told.get(`ann ${alert.id}`);
    const last = stage.events.findLast(({ alertId }) => alertId === alert.id);
    if (isMuted(alert) || (last && last.atMs > settledMs)) continue;
    const isUrgent = alert.priority === 'alarm' || alert.priority === 'emergency alarm';
    const isOwed = alert.phase === 'unacknowledged' && alert.priority !== 'caution';
    if (isOwed && (isUrgent || alert.inFlood === undefined)) {
      expect(words, `${alert.id} holds, and ann knows`).toBe('holds');
    }
    if (!isStanding(alert)) expect(words, `${alert.id} is over`).not.toBe('holds');
  }
  const folded = new Set(
    stage.events.filter(({ type }) => type === 'folded').map(({ alertId }) => alertId),
  );
  const openIds = new Set(open.map(({ id }) => id));
  for (const [who, words] of told) {
    const id = who.split(' ')[1] ?? '';
    if (openIds.has(id) || folded.has(id)) continue;
    expect(words, `${who}: who was told hears when it is over`).toBe('over');
  }
}

function isWithinBudget(letters: readonly Letter[]): void {
  for (const contact of Object.keys(CONTACTS)) {
    const own = letters.filter((letter) => letter.contact === contact && letter.way === 'mail');
    own.forEach((letter, at) => {
      if (letter.priority === 'emergency alarm') return;
      const before = own[at - 1]?.writtenAtMs ?? -Infinity;
      expect(letter.writtenAtMs - before, 'one letter a minute').toBeGreaterThanOrEqual(MINUTE_MS);
      const hour = own
        .slice(0, at + 1)
        .filter(({ writtenAtMs }) => letter.writtenAtMs - writtenAtMs < HOUR_MS);
      const usual = hour.filter((other) => other.priority !== 'emergency alarm');
      expect(usual.length, 'twenty an hour').toBeLessThanOrEqual(20);
    });
  }
}

test('no letter twice, none lost, nobody told of what is put away, within the budget', () => {
  fc.assert(
    fc.property(lives, (beats) => promises(play(beats, true))),
    { numRuns: LIVES },
  );
});

test('a restart at every point changes nothing', () => {
  fc.assert(
    fc.property(lives, (beats) => {
      const [plain, restarted] = [play(beats, false), play(beats, 'always')];
      expect(restarted.letters).toEqual(plain.letters);
      expect(restarted.withdrawn).toEqual(plain.withdrawn);
    }),
    { numRuns: Math.ceil(LIVES / 3) },
  );
});

test('nobody is told that something holds while it is put away', () => {
  fc.assert(
    fc.property(lives, (beats) => {
      const stage = play(beats, false);
      for (const letter of stage.letters) {
        for (const { alertId } of tells(letter)) {
          const last = stage.events.findLast(
            (event) => event.alertId === alertId && event.atMs <= letter.writtenAtMs,
          );
          const isAct = last?.atMs === letter.writtenAtMs;
          expect(last && !isAct && isMuted(last.alert), letter.headline).not.toBe(true);
        }
      }
    }),
    { numRuns: Math.ceil(LIVES / 3) },
  );
});

test('any of them, kept back and made one, is a letter like the others', () => {
  fc.assert(
    fc.property(lives, (beats) => {
      const own = play(beats, false).letters.filter(
        ({ contact, way }) => contact === 'ann' && way === 'mail',
      );
      if (own.length === 0) return;
      const digest = digestOf(own, START_MS + 48 * HOUR_MS, ZONE);
      expect(digest.headline.length).toBeLessThanOrEqual(160);
      expect(`${digest.headline}\n${digest.text}`).not.toMatch(/NaN|undefined|Infinity|\[object/);
      const last = lastTold(own);
      for (const { alertId, overAtMs } of digest.about) {
        expect(overAtMs === null ? 'holds' : 'over').toBe(last.get(`ann ${alertId}`));
      }
    }),
    { numRuns: Math.ceil(LIVES / 3) },
  );
});
