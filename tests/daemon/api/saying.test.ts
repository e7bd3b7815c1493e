/** What a person tells panelward, by real HTTP, to a real watch over a real store. */
import { readFileSync } from 'node:fs';
import { describe, expect, it, onTestFinished } from 'vitest';
import { errorAnswerSchema, saidAnswerSchema } from '../../../daemon/api/contract.ts';
import { Station } from '../../../daemon/station.ts';
import { readBoat } from '../../../rules/index.ts';
import { type Answered, post, START_MS, type Started, started } from './fixtures.ts';

const file = new URL('../../fixtures/boats/small.yaml', import.meta.url);
const { boat } = readBoat(readFileSync(file, 'utf8'), 'small.yaml');

async function aboard(): Promise<Started & { station: Station }> {
  if (!boat) throw new Error('the small test boat is not usable');
  const own = await started();
  const station = new Station(boat, own.daemon.store, own.clock);
  station.start();
  onTestFinished(() => station.stop());
  own.daemon.setMode = (...said) => station.setMode(...said);
  own.daemon.state = (...said) => station.state(...said);
  return { ...own, station };
}

function refusal(answered: Answered, status: number): string {
  expect(answered.status, answered.text).toBe(status);
  return errorAnswerSchema.parse(JSON.parse(answered.text)).error.message;
}

function eventsOf(answered: Answered) {
  expect(answered.status, answered.text).toBe(200);
  return saidAnswerSchema.parse(JSON.parse(answered.text)).events;
}

describe('POST /api/v1/mode', () => {
  const path = '/api/v1/mode';

  it('answers with what is on the disk by then, and the panel knows it a second later', async () => {
    const { api, clock, station, daemon } = await aboard();
    const events = eventsOf(await post(api, path, { mode: 'away', by: ' Ann ' }));
    expect(events).toEqual([
      {
        atMs: START_MS,
        type: 'mode changed',
        part: '',
        text: 'Ann: away.',
        said: { by: 'Ann', mode: 'away', untilMs: null },
      },
    ]);
    expect(daemon.store.panelEvents({ limit: 10 })).toEqual(events);
    clock.advanceTo(START_MS + 1000);
    expect(station.panel?.mode).toEqual({
      name: 'away',
      sinceMs: START_MS,
      untilMs: null,
      by: 'Ann',
    });
  });

  it('ends by itself, and that is recorded too', async () => {
    const { api, clock, station, daemon } = await aboard();
    const untilMs = START_MS + 300_000;
    eventsOf(await post(api, path, { mode: 'work in progress', untilMs, by: 'Ann' }));
    clock.advanceTo(untilMs - 1000);
    expect(station.panel?.mode.name).toBe('work in progress');
    clock.advanceTo(untilMs);
    expect(station.panel?.mode.name).toBe('aboard');
    const texts = daemon.store.panelEvents({ limit: 10 }).map(({ text }) => text);
    expect(texts).toEqual(['The time of work in progress is over.', 'Ann: work in progress.']);
  });

  it('is remembered over a restart', async () => {
    const { api, clock, daemon } = await aboard();
    eventsOf(await post(api, path, { mode: 'away', by: 'Ann' }));
    if (!boat) throw new Error('no boat');
    const again = new Station(boat, daemon.store, clock);
    again.evaluate();
    expect(again.panel?.mode).toMatchObject({ name: 'away', by: 'Ann' });
    again.stop();
  });

  it('refuses work without an end, and an end that is over', async () => {
    const { api } = await aboard();
    const work = { mode: 'work in progress', by: 'Ann' };
    expect(refusal(await post(api, path, work), 409)).toMatch(/needs an end within 24 hours/);
    const over = { mode: 'away', untilMs: START_MS - 1, by: 'Ann' };
    expect(refusal(await post(api, path, over), 409)).toMatch(/must lie ahead/);
  });

  it('says so when the disk refuses', async () => {
    const { api, daemon } = await started();
    daemon.diskRefuses = true;
    const answered = await post(api, path, { mode: 'away', by: 'Ann' });
    expect(refusal(answered, 503)).toBe('The disk refuses.');
  });

  it.each([
    [{}, /`mode` in the body must be one of aboard, away, under way, work in progress/],
    [{ mode: 'asleep', by: 'Ann' }, /`mode` in the body must be one of .*, got "asleep"/],
    [{ mode: 'away' }, /`by` in the body must be a string, got nothing/],
    [{ mode: 'away', by: '' }, /`by` in the body must be at least 1 character long/],
    [{ mode: 'away', by: 'Ann', untilMs: 'noon' }, /`untilMs` in the body must be a number/],
    [{ mode: 'away', by: 'Ann', until: 5 }, /Unknown in the body: `until`/],
  ])('refuses the body %j', async (body, says) => {
    const { api } = await started();
    expect(refusal(await post(api, path, body), 400)).toMatch(says);
  });
});

describe('POST /api/v1/statements', () => {
  const path = '/api/v1/statements';

  it('takes a word for a selector, and takes it back', async () => {
    const { api, daemon } = await aboard();
    const said = { part: 'source', position: 'SHORE', by: 'Ann' };
    const events = eventsOf(await post(api, path, said));
    expect(events).toMatchObject([
      { type: 'stated', part: 'source', text: 'Ann says that SOURCE stands on SHORE.' },
    ]);
    const back = eventsOf(await post(api, path, { ...said, position: null }));
    expect(back).toMatchObject([{ text: 'Ann takes back what was said of SOURCE.' }]);
    expect(daemon.store.panelEvents({ limit: 10 })).toHaveLength(2);
  });

  it('knows no other parts and no other positions, and says which there are', async () => {
    const { api, daemon } = await aboard();
    const unknown = { part: 'heater', position: 'closed', by: 'Ann' };
    expect(refusal(await post(api, path, unknown), 404)).toMatch(/no selector or main switch/);
    const wrong = { part: 'source', position: 'WIND', by: 'Ann' };
    expect(refusal(await post(api, path, wrong), 409)).toMatch(/SHORE or OFF or GENERATOR/);
    const tripped = { part: 'main', position: 'tripped', by: 'Ann' };
    expect(refusal(await post(api, path, tripped), 409)).toMatch(/closed or open/);
    expect(daemon.store.panelEvents({ limit: 10 })).toEqual([]);
  });

  it.each([
    [{ part: 'main', by: 'Ann' }, /`position` in the body must be/],
    [{ part: '', position: 'open', by: 'Ann' }, /`part` in the body must be at least 1/],
    [{ part: 'main', position: 5, by: 'Ann' }, /`position` in the body must be/],
  ])('refuses the body %j', async (body, says) => {
    const { api } = await started();
    expect(refusal(await post(api, path, body), 400)).toMatch(says);
  });
});
