/** The load survey and the bands of a chart over HTTP. */
import { describe, expect, it } from 'vitest';
import {
  bandsAnswerSchema,
  errorAnswerSchema,
  surveyAnswerSchema,
} from '../../../daemon/api/contract.ts';
import type { PanelEvent } from '../../../daemon/api/contract.ts';
import { alertWith } from '../store/fixtures.ts';
import { ask, START_MS, started } from './fixtures.ts';

describe('GET /api/v1/survey', () => {
  it('asks the daemon for the span', async () => {
    const { api } = await started();
    const { status, text } = await ask(api, '/api/v1/survey?from=1000&to=5000');
    expect(status).toBe(200);
    const { fromMs, toMs, roughMs } = surveyAnswerSchema.parse(JSON.parse(text));
    expect([fromMs, toMs, roughMs]).toEqual([1000, 5000, 0]);
  });

  it.each([
    ['?from=5&to=5', /`to` must be after `from`/],
    ['?from=5', /`to` in the query must be a number, got nothing/],
    [`?from=0&to=${1101 * 86_400_000}`, /too long a span for one survey/],
    ['?from=-1&to=5', /`from` in the query must be at least 0/],
    ['?from=1&to=5&days=3', /Unknown in the query: `days`/],
  ])('refuses %s', async (query, says) => {
    const { api } = await started();
    const { status, text } = await ask(api, `/api/v1/survey${query}`);
    expect(status).toBe(400);
    expect(errorAnswerSchema.parse(JSON.parse(text)).error.message).toMatch(says);
  });

  it('makes one at a time, lets four wait, and turns the others away', async () => {
    const { api, daemon } = await started();
    let [running, most] = [0, 0];
    const answer = daemon.survey.bind(daemon);
    let finish = (): void => {};
    const finished = new Promise<void>((resolve) => {
      finish = resolve;
    });
    daemon.survey = async (...asked) => {
      running += 1;
      most = Math.max(most, running);
      await finished;
      running -= 1;
      return answer(...asked);
    };
    const all = Array.from({ length: 6 }, () => ask(api, '/api/v1/survey?from=1&to=2'));
    expect((await Promise.race(all)).status).toBe(503);
    finish();
    const statuses = (await Promise.all(all)).map(({ status }) => status).sort((a, b) => a - b);
    expect(statuses).toEqual([200, 200, 200, 200, 200, 503]);
    expect(most).toBe(1);
  });

  it('says that the disk cannot be read, and stops when nobody waits', async () => {
    const { api, daemon, lines } = await started();
    daemon.survey = () => Promise.reject(new Error('disk I/O error'));
    expect((await ask(api, '/api/v1/survey?from=1&to=2')).status).toBe(503);
    expect(lines.join('\n')).toContain('disk I/O error');
  });
});

const at = (second: number): number => START_MS + second * 1000;

describe('GET /api/v1/bands', () => {
  async function asked(query: string) {
    const { api, daemon, clock } = await started();
    const over = alertWith({ id: 'over#1', raisedAtMs: at(10) });
    clock.advanceTo(at(10));
    daemon.happens(over, 'raised');
    clock.advanceTo(at(50));
    daemon.happens({ ...over, phase: 'closed', returnedAtMs: at(40) }, 'closed');
    daemon.happens(alertWith({ id: 'open#1', raisedAtMs: at(50) }), 'raised');
    const onlyInMemory = alertWith({ id: 'memory#1', raisedAtMs: at(55) });
    daemon.open.set(onlyInMemory.id, onlyInMemory);
    const event = (second: number, type: PanelEvent['type'], part: string): PanelEvent => {
      return { atMs: at(second), type, part, text: `${part} at ${second}` };
    };
    daemon.store.commit({
      alertEvents: [],
      panelEvents: [
        event(5, 'source live', 'inlet'),
        event(6, 'source changed', 'panel'),
        event(15, 'source dead', 'inlet'),
        event(16, 'position changed', 'selector'),
        event(45, 'source live', 'generator'),
        event(46, 'source changed', 'panel'),
      ],
    });
    const { status, text } = await ask(api, `/api/v1/bands?${query}`);
    expect(status).toBe(200);
    return bandsAnswerSchema.parse(JSON.parse(text));
  }
  const ids = ({ alerts }: Awaited<ReturnType<typeof asked>>) => alerts.map(({ id }) => id);
  const texts = (events: readonly PanelEvent[]) => events.map(({ text }) => text);

  it('gives every alert that overlaps the span, open ones too, and the events of sources', async () => {
    const all = await asked(`from=${at(30)}&to=${at(60)}`);
    expect(ids(all)).toEqual(['over#1', 'open#1', 'memory#1']);
    expect(all.alerts[0]).toMatchObject({ fromMs: at(10), toMs: at(40), priority: 'warning' });
    expect(all.alerts[1]).toMatchObject({ fromMs: at(50), toMs: null });
    expect(texts(all.sourceEvents)).toEqual(['generator at 45', 'panel at 46']);
    expect(texts(all.before)).toEqual(['panel at 6', 'inlet at 15']);
    expect(all.isComplete).toBe(true);
  });

  it('leaves out what was over before and what came after', async () => {
    const all = await asked(`from=${at(41)}&to=${at(50)}`);
    expect(ids(all)).toEqual([]);
    expect(ids(await asked(`from=${at(39)}&to=${at(50)}`))).toEqual(['over#1']);
  });

  it('gives the newest where there are too many, and says so', async () => {
    const all = await asked(`from=${at(0)}&to=${at(60)}&limit=1`);
    expect(ids(all)).toEqual(['memory#1']);
    expect(texts(all.sourceEvents)).toEqual(['panel at 46']);
    expect(all.isComplete).toBe(false);
  });
});
