/** The text of /metrics, read by the grammar of the OpenMetrics 1.0 specification. */
import { describe, expect, it } from 'vitest';
import { alertWith } from '../store/fixtures.ts';
import { ask, START_MS, started } from './fixtures.ts';

interface Family {
  type: string;
  samples: { name: string; labels: Record<string, string>; value: number }[];
}

const SUFFIXES: Record<string, string[]> = {
  gauge: [''],
  counter: ['_total', '_created'],
  histogram: ['_bucket', '_count', '_sum', '_created'],
};

/** Throws on what the specification does not allow; what we do not use (exemplars, units) included. */
function parse(text: string): Map<string, Family> {
  expect(text.endsWith('# EOF\n')).toBe(true);
  const families = new Map<string, Family>();
  let current: Family | null = null;
  let name = '';
  for (const line of text.slice(0, -'# EOF\n'.length).split('\n').slice(0, -1)) {
    const described = /^# (HELP|TYPE) ([a-zA-Z_:][a-zA-Z0-9_:]*) (.+)$/.exec(line);
    if (described) {
      const [, word, of = '', rest = ''] = described;
      if (of !== name) {
        if (families.has(of)) throw new Error(`${of} is not told in one piece`);
        current = { type: 'unknown', samples: [] };
        families.set(of, current);
        name = of;
      }
      if (word === 'TYPE' && current !== null) current.type = rest;
      continue;
    }
    const sample = /^([a-zA-Z_:][a-zA-Z0-9_:]*)(?:\{(.*)\})? ([-+0-9.eE]+|NaN|[+-]?Inf)$/.exec(
      line,
    );
    if (sample === null || current === null) throw new Error(`not OpenMetrics: ${line}`);
    const [, full = '', labels = '', value = ''] = sample;
    expect(SUFFIXES[current.type]?.map((suffix) => name + suffix)).toContain(full);
    current.samples.push({ name: full, labels: labelsIn(labels), value: Number(value) });
  }
  return families;
}

function labelsIn(text: string): Record<string, string> {
  const labels: Record<string, string> = {};
  let rest = text;
  while (rest !== '') {
    const match = /^([a-zA-Z_][a-zA-Z0-9_]*)="((?:[^"\\\n]|\\["\\n])*)"(?:,|$)/.exec(rest);
    if (match === null) throw new Error(`not labels: ${rest}`);
    const [whole, label = '', value = ''] = match;
    labels[label] = value.replaceAll(/\\(.)/g, (_, c: string) => (c === 'n' ? '\n' : c));
    rest = rest.slice(whole.length);
  }
  return labels;
}

describe('GET /metrics', () => {
  it('is OpenMetrics, and says what the daemon counts', async () => {
    const { api, daemon } = await started();
    daemon.happens(alertWith({ id: 'a#1', priority: 'alarm' }), 'raised');
    daemon.happens(alertWith({ id: 'b#1' }), 'raised');
    daemon.acknowledge('b#1', 'Ann');
    daemon.store.addReading({ pointId: 'a', value: 1, atMs: START_MS });
    const { status, headers, text } = await ask(api, '/metrics');
    expect(status).toBe(200);
    expect(headers['content-type']).toBe(
      'application/openmetrics-text; version=1.0.0; charset=utf-8',
    );
    const families = parse(text);
    const value = (name: string, labels: Record<string, string> = {}): number | undefined =>
      families
        .get(name)
        ?.samples.find((sample) => JSON.stringify(sample.labels) === JSON.stringify(labels))?.value;
    expect(value('panelward_readings', { via: 'mqtt' })).toBe(65);
    expect(value('panelward_messages', { via: 'mqtt' })).toBe(70);
    expect(value('panelward_refused', { reason: 'not "JSON"\n' })).toBe(5);
    expect(value('panelward_alerts_open', { priority: 'alarm' })).toBe(1);
    expect(value('panelward_alerts_open', { priority: 'emergency alarm' })).toBe(0);
    expect(value('panelward_alert_events', { type: 'raised', priority: 'warning' })).toBe(1);
    expect(value('panelward_alert_events', { type: 'acknowledged', priority: 'warning' })).toBe(1);
    expect(value('panelward_readings_buffered')).toBe(1);
    expect(value('panelward_readings_stored')).toBe(0);
    expect(value('panelward_store_bytes')).toBeGreaterThan(4096);
    expect(value('panelward_store_writable')).toBe(1);
    expect(value('panelward_disk_free_bytes')).toBeGreaterThan(0);
    expect(value('panelward_store_files_set_aside')).toBe(0);
    expect(value('panelward_clock_trusted')).toBe(1);
    expect(value('panelward_clock_utc_offset_seconds')).toBe(0);
    expect(value('panelward_degraded')).toBe(0);
    expect(value('panelward_http_connections')).toBeGreaterThanOrEqual(1);
    expect(value('panelward_live_streams')).toBe(0);
    expect(value('panelward_last_evaluation_timestamp_seconds')).toBe(START_MS / 1000);
    const evaluations = families.get('panelward_evaluation_seconds');
    expect(evaluations?.type).toBe('histogram');
    const count = evaluations?.samples.find(({ name }) => name.endsWith('_count'))?.value;
    expect(count).toBe(3);
    const last = evaluations?.samples.findLast(({ name }) => name.endsWith('_bucket'));
    expect(last).toMatchObject({ labels: { le: '+Inf' }, value: 3 });
  });

  it('counts up and never doubles from one scrape to the next', async () => {
    const { api, daemon } = await started();
    for (let index = 0; index < 5; index += 1) {
      daemon.store.addReading({ pointId: 'a', value: 1, atMs: START_MS + index });
    }
    daemon.store.flush();
    for (let scrape = 0; scrape < 3; scrape += 1) {
      const { text } = await ask(api, '/metrics');
      expect(text).toContain('\npanelward_readings_stored_total 5\n');
      expect(text).toContain('\npanelward_readings_total{via="mqtt"} 65\n');
    }
  });
});
