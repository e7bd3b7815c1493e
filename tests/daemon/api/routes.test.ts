/** Every route by real HTTP: what it answers is held to the contract's schemas. */
import { describe, expect, it } from 'vitest';
import type { z } from 'zod';
import {
  acknowledgeAnswerSchema,
  alertAnswerSchema,
  alertsAnswerSchema,
  boatAnswerSchema,
  errorAnswerSchema,
  eventsAnswerSchema,
  healthAnswerSchema,
  healthzAnswerSchema,
  historyAnswerSchema,
  panelStateSchema,
  pointsAnswerSchema,
} from '../../../daemon/api/contract.ts';
import type { AlertEvent } from '../../../rules/alerts/alert.ts';
import { alertWith, eventWith } from '../store/fixtures.ts';
import { type Answered, ask, panelAt, post, START_MS, started } from './fixtures.ts';

/** The answer as the schema reads it; fails if one field is missing, foreign or of another type. */
function as<Schema extends z.ZodType>(
  schema: Schema,
  answered: Answered,
  status = 200,
): z.output<Schema> {
  expect(answered.status, answered.text).toBe(status);
  expect(answered.headers['content-type']).toBe('application/json; charset=utf-8');
  return schema.parse(JSON.parse(answered.text));
}

function refusal(answered: Answered, status: number): z.output<typeof errorAnswerSchema>['error'] {
  return as(errorAnswerSchema, answered, status).error;
}

describe('GET /api/v1/panel', () => {
  it('gives the panel as it is', async () => {
    const { api } = await started();
    const panel = as(panelStateSchema, await ask(api, '/api/v1/panel'));
    expect(panel).toEqual(panelAt(START_MS));
  });

  it('is not ready before the first evaluation, and says so', async () => {
    const { api, daemon } = await started();
    daemon.nowPanel = null;
    const { message } = refusal(await ask(api, '/api/v1/panel'), 503);
    expect(message).toMatch(/not been worked out yet/);
  });
});

describe('GET /api/v1/alerts', () => {
  it('gives open, past or all, by default the open ones', async () => {
    const { api, daemon } = await started();
    const closed = alertWith({ id: 'a#1', phase: 'closed', raisedAtMs: START_MS + 1 });
    daemon.happens({ ...closed, phase: 'unacknowledged' }, 'raised');
    daemon.happens(closed, 'closed');
    daemon.happens(alertWith({ id: 'b#1', raisedAtMs: START_MS + 2 }), 'raised');
    daemon.happens(alertWith({ id: 'c#1', raisedAtMs: START_MS + 3 }), 'raised');
    const ids = async (query: string): Promise<string[]> => {
      const answered = await ask(api, `/api/v1/alerts${query}`);
      return as(alertsAnswerSchema, answered).alerts.map(({ id }) => id);
    };
    expect(await ids('')).toEqual(['c#1', 'b#1']);
    expect(await ids('?phase=open')).toEqual(['c#1', 'b#1']);
    expect(await ids('?phase=past')).toEqual(['a#1']);
    expect(await ids('?phase=all')).toEqual(['c#1', 'b#1', 'a#1']);
    expect(await ids('?phase=all&limit=2')).toEqual(['c#1', 'b#1']);
    expect(await ids(`?phase=all&limit=2&before=${START_MS + 2}`)).toEqual(['a#1']);
    expect(await ids(`?before=${START_MS + 2.5}`)).toEqual(['b#1']);
  });

  it('pages through open alerts by the instant of raising, whatever their order', async () => {
    const { api, daemon } = await started();
    for (const instant of [5, 1, 4, 4, 2, 3]) {
      const id = `at-${instant}-${daemon.open.size}`;
      daemon.open.set(id, alertWith({ id, raisedAtMs: START_MS + instant }));
    }
    daemon.openAlerts = () => [...daemon.open.values()];
    const page = async (query: string): Promise<string[]> => {
      const answered = await ask(api, `/api/v1/alerts?limit=2${query}`);
      return as(alertsAnswerSchema, answered).alerts.map(({ id }) => id);
    };
    expect(await page('')).toEqual(['at-5-0', 'at-4-2', 'at-4-3']);
    expect(await page(`&before=${START_MS + 4}`)).toEqual(['at-2-4', 'at-3-5']);
    expect(await page(`&before=${START_MS + 2}`)).toEqual(['at-1-1']);
  });

  it('searches by words, priority, rule and subject, page by page', async () => {
    const { api, daemon } = await started();
    const alertEvents = Array.from({ length: 450 }, (_, at): AlertEvent => {
      const number = at + 1;
      const alert = alertWith({
        id: `a#${number}`,
        phase: 'closed',
        raisedAtMs: START_MS + number,
        ...(number % 100 === 0 && { title: 'Anchor windlass draws 140 A', priority: 'alarm' }),
        ...(number === 7 && {
          rule: 'dead-bus',
          subject: { part: 'galley', point: 'galley-amps' },
        }),
      });
      return eventWith(number, { type: 'closed', alertId: alert.id, alert });
    });
    daemon.store.commit({ alertEvents, panelEvents: [] });
    const found = async (query: string): Promise<string[]> => {
      const answered = await ask(api, `/api/v1/alerts?phase=past&${query}`);
      return as(alertsAnswerSchema, answered).alerts.map(({ id }) => id);
    };
    expect(await found('text=140%20WINDLASS')).toEqual(['a#400', 'a#300', 'a#200', 'a#100']);
    expect(await found('text=windlass&limit=2')).toEqual(['a#400', 'a#300']);
    const next = `text=windlass&limit=2&before=${START_MS + 300}`;
    expect(await found(next)).toEqual(['a#200', 'a#100']);
    expect(await found('priority=alarm&limit=1')).toEqual(['a#400']);
    expect(await found('rule=dead-bus')).toEqual(['a#7']);
    expect(await found('subject=galley')).toEqual(['a#7']);
    expect(await found('subject=galley-amps&text=windlass')).toEqual([]);
    expect(await found('limit=1000')).toHaveLength(450);
    expect(refusal(await ask(api, '/api/v1/alerts?priority=red'), 400).message).toMatch(
      /`priority` in the query must be one of emergency alarm, alarm/,
    );
    expect(refusal(await ask(api, '/api/v1/alerts?text=%20'), 400).message).toMatch(/`text`/);
  });

  it('has open alerts that the disk does not have', async () => {
    const { api, daemon } = await started();
    const alert = alertWith({ id: 'only-in-memory#1' });
    daemon.open.set(alert.id, alert);
    for (const phase of ['open', 'all']) {
      const { alerts } = as(alertsAnswerSchema, await ask(api, `/api/v1/alerts?phase=${phase}`));
      expect(alerts).toEqual([alert]);
    }
    const path = `/api/v1/alerts/${encodeURIComponent(alert.id)}`;
    expect(as(alertAnswerSchema, await ask(api, path))).toEqual({ alert, events: [] });
  });

  it.each([
    ['?phase=closed', /`phase` in the query must be one of open, past, all, got "closed"/],
    ['?limit=0', /`limit` in the query must be at least 1, got 0/],
    ['?limit=1001', /`limit` in the query must be at most 1000, got 1001/],
    ['?limit=ten', /`limit` in the query must be a number, got "ten"/],
    ['?limit=1.5', /`limit` in the query must be a whole number, got 1.5/],
    ['?limit=', /`limit` in the query must be a number, got ""/],
    ['?limit=1&limit=2', /`limit` in the query must be a number/],
    ['?limit=1e3', /`limit` in the query must be a number, got "1e3"/],
    ['?limt=5', /Unknown in the query: `limt`\. Expected only phase, limit, before, text/],
    ['?__proto__=5', /Unknown in the query: `__proto__`/],
    ['?phase=x&limit=0', /`phase` .*`limit` /],
  ])('refuses %s and says what was expected', async (query, says) => {
    const { api } = await started();
    expect(refusal(await ask(api, `/api/v1/alerts${query}`), 400).message).toMatch(says);
  });
});

describe('GET /api/v1/alerts/:id', () => {
  it('gives the alert and its events, oldest first, for an id with every sign in it', async () => {
    const { api, daemon } = await started();
    const raised = alertWith({ id: 'overload/main-a:L1 "ü%"#3' });
    daemon.happens(raised, 'raised');
    daemon.acknowledge(raised.id, 'Skipper');
    const answered = await ask(api, `/api/v1/alerts/${encodeURIComponent(raised.id)}`);
    const { alert, events } = as(alertAnswerSchema, answered);
    expect(alert.acknowledgedBy).toBe('Skipper');
    expect(events.map(({ type }) => type)).toEqual(['raised', 'acknowledged']);
  });

  it('knows no alert of another id', async () => {
    const { api } = await started();
    expect(refusal(await ask(api, '/api/v1/alerts/overload%2Fx%231'), 404)).toEqual({
      message: 'There is no alert of this id.',
      found: 'overload/x#1',
    });
    expect(refusal(await ask(api, `/api/v1/alerts/${'x'.repeat(301)}`), 400).message).toMatch(
      /`id` in the path must be at most 300 characters long/,
    );
    expect(refusal(await ask(api, '/api/v1/alerts/%zz'), 400).message).toMatch(/percent-encoding/);
  });
});

describe('POST /api/v1/alerts/:id/acknowledge', () => {
  const path = '/api/v1/alerts/a%231/acknowledge';

  it('answers with the alert once it is on the disk', async () => {
    const { api, daemon } = await started();
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    const { alert } = as(acknowledgeAnswerSchema, await post(api, path, { by: '  Ann Ö ' }));
    expect(alert).toMatchObject({ phase: 'acknowledged', acknowledgedBy: 'Ann Ö' });
    expect(daemon.store.alert('a#1')).toEqual(alert);
  });

  it('is refused with 409 when it cannot be, 404 when there is none, 503 when the disk refuses', async () => {
    const { api, daemon } = await started();
    expect(refusal(await post(api, path, { by: 'Ann' }), 404).message).toMatch(/no alert/);
    daemon.happens(alertWith({ id: 'a#1', phase: 'closed' }), 'closed');
    expect(refusal(await post(api, path, { by: 'Ann' }), 409).message).toMatch(/closed already/);
    daemon.diskRefuses = true;
    expect(refusal(await post(api, path, { by: 'Ann' }), 503).message).toBe('The disk refuses.');
  });

  it.each([
    [{}, /`by` in the body must be a string, got nothing/],
    [{ by: '' }, /`by` in the body must be at least 1 character long, got ""/],
    [{ by: '   ' }, /`by` in the body must be at least 1 character long/],
    [{ by: 'x'.repeat(61) }, /`by` in the body must be at most 60 characters long/],
    [{ by: 'a\u001b[31m' }, /`by` in the body must be no control characters/],
    [{ by: 5 }, /`by` in the body must be a string, got 5/],
    [{ by: 'Ann', role: 'skipper' }, /Unknown in the body: `role`\. Expected only by/],
    [[], /The body must be an object/],
    ['{"by":', /The body is not valid JSON/],
    ['', /The body is empty/],
    ['{"by":"Ann","__proto__":{"x":1}}', /not valid JSON/],
  ])('refuses the body %j', async (body, says) => {
    const { api } = await started();
    expect(refusal(await post(api, path, body), 400).message).toMatch(says);
  });

  it('takes JSON only, and no more than 64 KiB of it', async () => {
    const { api } = await started();
    for (const kind of ['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data']) {
      const answered = await post(api, path, '{"by":"Ann"}', { 'content-type': kind });
      expect(refusal(answered, 415)).toMatchObject({ expected: 'application/json', found: kind });
    }
    const none = await ask(api, path, { method: 'POST' });
    expect(refusal(none, 415).found).toBe('no content type');
    const large = await post(api, path, { by: 'x'.repeat(64 * 1024) });
    expect(refusal(large, 413).message).toMatch(/at most 64 KiB/);
  });
});

describe('GET /api/v1/events', () => {
  it('gives what happened, newest first, within a time', async () => {
    const { api, daemon } = await started();
    const panelEvents = [0, 1, 2, 3].map((second) => ({
      atMs: START_MS + second * 1000,
      type: 'source live' as const,
      part: 'shore-bow',
      text: `Event ${second}.`,
    }));
    daemon.store.commit({ alertEvents: [], panelEvents });
    const texts = async (query: string): Promise<string[]> => {
      const answered = await ask(api, `/api/v1/events${query}`);
      return as(eventsAnswerSchema, answered).events.map(({ text }) => text);
    };
    expect(await texts('')).toEqual(['Event 3.', 'Event 2.', 'Event 1.', 'Event 0.']);
    expect(await texts(`?from=${START_MS + 1000}&to=${START_MS + 3000}`)).toEqual([
      'Event 2.',
      'Event 1.',
    ]);
    expect(await texts('?limit=1')).toEqual(['Event 3.']);
    expect(refusal(await ask(api, '/api/v1/events?from=-5'), 400).message).toMatch(/at least 0/);
  });
});

describe('GET /api/v1/points, /boat and /health, and /healthz', () => {
  it('give what the daemon says', async () => {
    const { api, daemon } = await started();
    const { points } = as(pointsAnswerSchema, await ask(api, '/api/v1/points'));
    expect(points).toEqual(daemon.points());
    expect(as(boatAnswerSchema, await ask(api, '/api/v1/boat'))).toEqual(daemon.boat());
    expect(as(healthAnswerSchema, await ask(api, '/api/v1/health'))).toEqual(daemon.health());
    expect(as(healthzAnswerSchema, await ask(api, '/healthz'))).toEqual({ status: 'ok' });
  });

  it('say when the daemon is in trouble', async () => {
    const { api, daemon } = await started();
    daemon.problems = ['The disk refuses.'];
    const expected = { status: 'degraded', problems: ['The disk refuses.'] };
    expect(as(healthzAnswerSchema, await ask(api, '/healthz'), 503)).toEqual(expected);
    expect(as(healthAnswerSchema, await ask(api, '/api/v1/health'))).toMatchObject(expected);
  });

  it('take no query', async () => {
    const { api } = await started();
    for (const path of ['panel', 'points', 'boat', 'health', 'live']) {
      const { message } = refusal(await ask(api, `/api/v1/${path}?x=1`), 400);
      expect(message).toMatch(/Unknown in the query: `x`\. Expected nothing/);
    }
  });
});

describe('GET /api/v1/history', () => {
  it('gives least, greatest, mean, count and coverage of each bucket, with the unit', async () => {
    const { api, daemon } = await started();
    for (const [second, value] of [12, 14, 13, 20, 10].entries()) {
      daemon.store.addReading({
        pointId: 'main-a-l1-amps',
        value,
        atMs: START_MS + second * 1000,
      });
    }
    const path = `/api/v1/history?points=main-a-l1-amps,main-a-l1-volts&from=${START_MS}&to=${START_MS + 8000}&buckets=4`;
    expect(as(historyAnswerSchema, await ask(api, path))).toEqual({
      fromMs: START_MS,
      toMs: START_MS + 8000,
      bucketMs: 2000,
      series: [
        {
          pointId: 'main-a-l1-amps',
          unit: 'A',
          buckets: [
            [START_MS, 12, 14, 13, 2, 1],
            [START_MS + 2000, 13, 20, 16.5, 2, 1],
            [START_MS + 4000, 10, 10, 10, 1, 0],
          ],
        },
        { pointId: 'main-a-l1-volts', unit: 'V', buckets: [] },
      ],
    });
  });

  const time = 'from=1000&to=2000';
  const many = Array.from({ length: 65 }, (_, index) => `p${index}`).join(',');
  it.each([
    [`?points=nowhere,main-a-l1-amps&${time}`, /No such point: `nowhere`/],
    [
      `?points=selector,main-a-l1-amps,breaker&${time}`,
      /Positions are words and have no chart: `selector`, `breaker`/,
    ],
    [`?points=&${time}`, /`points` in the query must be at least 1/],
    [`?${time}`, /`points` in the query must be a string, got nothing/],
    ['?points=main-a-l1-amps&from=2000&to=2000', /`to` must be after `from`/],
    ['?points=main-a-l1-amps&from=2000', /`to` in the query must be a number, got nothing/],
    [`?points=main-a-l1-amps&${time}&buckets=4001`, /at most 4000/],
    [`?points=main-a-l1-amps&${time}&bucket=5`, /Unknown in the query: `bucket`.*buckets/],
    [`?points=${many}&${time}`, /At most 64 points/],
    [`?points=${many.slice(0, 150)}&${time}&buckets=4000`, /Too many buckets/],
  ])('refuses %s', async (query, says) => {
    const { api } = await started();
    expect(refusal(await ask(api, `/api/v1/history${query}`), 400).message).toMatch(says);
  });

  it('says so when the disk cannot be read, and logs why', async () => {
    const { api, daemon, lines } = await started();
    daemon.record.history = () => Promise.reject(new Error('disk image is malformed'));
    const answered = await ask(api, `/api/v1/history?points=main-a-l1-amps&${time}`);
    expect(refusal(answered, 503).message).toMatch(/cannot be read from the disk/);
    expect(answered.text).not.toContain('malformed');
    expect(lines.join()).toContain('malformed');
  });

  it('reads two at once, lets sixteen wait and turns the others away', async () => {
    const { api, daemon } = await started();
    const finish: (() => void)[] = [];
    daemon.record.history = ({ fromMs, toMs }) =>
      new Promise((resolve) => {
        finish.push(() => resolve({ fromMs, toMs, bucketMs: 1000, series: [] }));
      });
    const path = `/api/v1/history?points=main-a-l1-amps&${time}`;
    const answers: Answered[] = [];
    const asked = Array.from({ length: 20 }, async () => answers.push(await ask(api, path)));
    while (answers.length < 2) await new Promise(setImmediate);
    for (const turnedAway of answers) {
      expect(refusal(turnedAway, 503).message).toMatch(/Too many charts/);
    }
    for (let served = 0; served < 18; served += 1) {
      while (finish.length === 0) await new Promise(setImmediate);
      expect(finish.length).toBeLessThanOrEqual(2);
      finish.shift()?.();
    }
    await Promise.all(asked);
    expect(answers.filter(({ status }) => status === 200)).toHaveLength(18);
  });
});

describe('an address or method that is not there', () => {
  it('is answered in the same shape', async () => {
    const { api } = await started();
    expect(refusal(await ask(api, '/api/v1/panels'), 404)).toEqual({
      message: 'There is nothing at this address.',
      found: 'GET /api/v1/panels',
    });
    expect(refusal(await ask(api, '/../../etc/passwd'), 404).message).toMatch(/nothing/);
    expect(refusal(await post(api, '/api/v2', {}), 404).found).toBe('POST /api/v2');
  });

  it.each([
    ['DELETE', '/api/v1/panel', 'GET, HEAD'],
    ['PUT', '/api/v1/alerts/a%231/acknowledge', 'POST'],
    ['GET', '/api/v1/alerts/a%231/acknowledge', 'POST'],
    ['OPTIONS', '/api/v1/alerts', 'GET, HEAD'],
    ['POST', '/metrics', 'GET, HEAD'],
    ['POST', '/api/v1/live', 'GET'],
  ])('%s %s is not allowed, and it says what is', async (method, path, allowed) => {
    const { api } = await started();
    const answered = await ask(api, path, { method });
    expect(refusal(answered, 405).found).toBe(method);
    expect(answered.headers['allow']).toBe(allowed);
  });

  it('HEAD of the live stream is not allowed either, and does not hang', async () => {
    const { api } = await started();
    expect((await ask(api, '/api/v1/live', { method: 'HEAD' })).status).toBe(405);
    expect((await ask(api, '/api/v1/panel', { method: 'HEAD' })).status).toBe(200);
  });

  it('a mistake of ours tells the log, not the world', async () => {
    const { api, daemon, lines } = await started();
    daemon.panel = () => {
      throw new Error('the secret inside');
    };
    const answered = await ask(api, '/api/v1/panel');
    expect(refusal(answered, 500).message).toBe(
      'Something inside panelward failed; its log says what.',
    );
    expect(lines.join()).toContain('the secret inside');
  });
});
