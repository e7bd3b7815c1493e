/** What a person does about an alert, by real HTTP: done once it is on the disk, or refused in words. */
import { describe, expect, it } from 'vitest';
import { acknowledgeAnswerSchema, errorAnswerSchema } from '../../../daemon/api/contract.ts';
import type { Alert } from '../../../daemon/api/contract.ts';
import { alertWith } from '../store/fixtures.ts';
import { post, START_MS, type Started, started } from './fixtures.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

async function does(
  { api }: Started,
  act: string,
  body: unknown,
  status = 200,
): Promise<Alert | string> {
  const answered = await post(api, `/api/v1/alerts/a%231/${act}`, body);
  expect(answered.status, answered.text).toBe(status);
  const answer: unknown = JSON.parse(answered.text);
  if (status === 200) return acknowledgeAnswerSchema.parse(answer).alert;
  return errorAnswerSchema.parse(answer).error.message;
}

async function withAlert(more: Partial<Alert> = {}): Promise<Started> {
  const all = await started();
  all.daemon.happens(alertWith({ id: 'a#1', priority: 'alarm', ...more }), 'raised');
  return all;
}

describe('POST /api/v1/alerts/:id/silence', () => {
  it('stops the sound for a moment and acknowledges nothing', async () => {
    const all = await withAlert();
    const alert = await does(all, 'silence', { by: ' Ann ' });
    expect(alert).toMatchObject({
      phase: 'unacknowledged',
      acknowledgedBy: null,
      silenced: { by: 'Ann', atMs: START_MS, untilMs: START_MS + 30_000 },
    });
    expect(all.daemon.store.alert('a#1')).toEqual(alert);
    const [, last] = all.daemon.store.alertEvents('a#1');
    expect(last).toMatchObject({ type: 'silenced', actor: 'Ann', atMs: START_MS });
  });

  it('is refused where nothing sounds', async () => {
    const caution = await withAlert({ priority: 'caution' });
    expect(await does(caution, 'silence', { by: 'Ann' }, 409)).toBe('A caution makes no sound.');
    const seen = await withAlert({ phase: 'acknowledged' });
    expect(await does(seen, 'silence', { by: 'Ann' }, 409)).toMatch(/stands and is not acknowl/);
  });
});

describe('POST /api/v1/alerts/:id/shelve and /unshelve', () => {
  const body = { by: 'Ann', untilMs: START_MS + 2 * HOUR_MS, reason: 'Pump is being changed' };

  it('puts it away until then, with who, when and why, and takes it back', async () => {
    const all = await withAlert();
    const shelved = await does(all, 'shelve', body);
    expect(shelved).toMatchObject({
      phase: 'unacknowledged',
      shelved: {
        by: 'Ann',
        atMs: START_MS,
        untilMs: body.untilMs,
        reason: body.reason,
        priority: 'alarm',
        isWarned: false,
      },
    });
    expect(all.daemon.store.alert('a#1')).toEqual(shelved);
    const back = await does(all, 'unshelve', { by: 'Ben' });
    expect(back).toMatchObject({ phase: 'unacknowledged' });
    expect(back).not.toHaveProperty('shelved');
    expect(all.daemon.store.alertEvents('a#1').map(({ type, actor }) => [type, actor])).toEqual([
      ['raised', 'panelward'],
      ['shelved', 'Ann'],
      ['unshelved', 'Ben'],
    ]);
  });

  it.each([
    [{}, START_MS, /must lie ahead/],
    [{}, START_MS + 8 * HOUR_MS + 1, /^An alarm can be shelved for at most 8 hours\.$/],
    [
      { priority: 'emergency alarm' },
      START_MS + 4 * HOUR_MS + 1,
      /^An emergency alarm can be shelved for at most 4 hours\.$/,
    ],
    [
      { needsInspection: true },
      START_MS + 4 * HOUR_MS + 1,
      /needs an inspection can be shelved for at most 4 hours/,
    ],
    [{ phase: 'latched', needsInspection: true }, START_MS + 1000, /looked at/],
  ] as const)('refuses for %j an end at %d', async (more, untilMs, says) => {
    const all = await withAlert(more);
    expect(await does(all, 'shelve', { by: 'Ann', untilMs }, 409)).toMatch(says);
    expect(all.daemon.store.alertEvents('a#1')).toHaveLength(1);
  });

  it.each([
    [{ by: 'Ann' }, /`untilMs` in the body must be a number, got nothing/],
    [{ ...body, untilMs: 'noon' }, /`untilMs` in the body must be a number, got "noon"/],
    [{ ...body, untilMs: -1 }, /`untilMs` in the body must be at least 0/],
    ['{"by":"Ann","untilMs":1e999}', /`untilMs` in the body must be/],
    [{ ...body, reason: '' }, /`reason` in the body must be at least 1 character/],
    [{ ...body, reason: 'a\u0007' }, /`reason` in the body must be no control characters/],
    [{ ...body, forHours: 2 }, /Unknown in the body: `forHours`/],
  ])('does not take the body %j', async (given, says) => {
    expect(await does(await withAlert(), 'shelve', given, 400)).toMatch(says);
  });

  it('has nothing to take back where nothing is shelved', async () => {
    const all = await withAlert();
    expect(await does(all, 'unshelve', { by: 'Ann' }, 409)).toBe('This alert is not shelved.');
  });
});

describe('POST /api/v1/alerts/:id/out-of-service and /in-service', () => {
  const body = { by: 'Tess', reason: 'Clamp is off', reviewAtMs: START_MS + 7 * DAY_MS };

  it('takes it out with reason and day of review, and puts it back', async () => {
    const all = await withAlert();
    expect(await does(all, 'out-of-service', body)).toMatchObject({
      outOfService: {
        by: 'Tess',
        atMs: START_MS,
        reason: body.reason,
        reviewAtMs: body.reviewAtMs,
      },
    });
    const back = await does(all, 'in-service', { by: 'Tess' });
    expect(back).not.toHaveProperty('outOfService');
    expect(await does(all, 'in-service', { by: 'Tess' }, 409)).toMatch(/not out of service/);
  });

  it('never takes out an emergency alarm, and never without reason or review', async () => {
    const emergency = await withAlert({ priority: 'emergency alarm' });
    expect(await does(emergency, 'out-of-service', body, 409)).toMatch(/emergency alarm cannot/);
    const all = await withAlert();
    const { reason: _, ...bare } = body;
    expect(await does(all, 'out-of-service', bare, 400)).toMatch(/`reason` in the body/);
    const far = { ...body, reviewAtMs: START_MS + 91 * DAY_MS };
    expect(await does(all, 'out-of-service', far, 409)).toMatch(/within 90 days/);
    const past = { ...body, reviewAtMs: START_MS };
    expect(await does(all, 'out-of-service', past, 409)).toMatch(/must lie ahead/);
  });
});

describe('POST /api/v1/alerts/:id/inspected', () => {
  it('closes what is over and waits for a look', async () => {
    const all = await withAlert({ phase: 'latched', needsInspection: true, returnedAtMs: 1 });
    expect(await does(all, 'inspected', { by: 'Tess' })).toMatchObject({ phase: 'closed' });
    expect(await does(all, 'inspected', { by: 'Tess' }, 409)).toMatch(/closed already/);
  });

  it('is refused while the condition holds, and where nothing needs a look', async () => {
    const all = await withAlert({ needsInspection: true });
    expect(await does(all, 'inspected', { by: 'Tess' }, 409)).toMatch(/still holds/);
    const plain = await withAlert({ phase: 'returned' });
    expect(await does(plain, 'inspected', { by: 'Tess' }, 409)).toMatch(/acknowledge it/);
  });
});

it('every act knows no alert of another id, and says when the disk refuses', async () => {
  const bodies = {
    silence: { by: 'Ann' },
    shelve: { by: 'Ann', untilMs: START_MS + HOUR_MS },
    unshelve: { by: 'Ann' },
    'out-of-service': { by: 'Ann', reason: 'Why', reviewAtMs: START_MS + DAY_MS },
    'in-service': { by: 'Ann' },
    inspected: { by: 'Ann' },
  };
  const all = await started();
  for (const [act, body] of Object.entries(bodies)) {
    expect(await does(all, act, body, 404)).toMatch(/no alert of this id/);
    expect(await does(all, act, { ...body, by: '' }, 400)).toMatch(/`by` in the body/);
  }
  all.daemon.diskRefuses = true;
  for (const [act, body] of Object.entries(bodies)) {
    expect(await does(all, act, body, 503)).toBe('The disk refuses.');
  }
});
