/** The live stream by real HTTP. Time is the manual clock's; only the network takes real time. */
import { get, type IncomingMessage } from 'node:http';
import { connect } from 'node:net';
import { describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import type { Api } from '../../../daemon/api/api.ts';
import { liveEventSchemas } from '../../../daemon/api/contract.ts';
import { alertWith } from '../store/fixtures.ts';
import { ask, panelAt, START_MS, started } from './fixtures.ts';

/** A page that listens; collects what the stream says, as a browser's EventSource reads it. */
class Listener {
  readonly response: IncomingMessage;
  readonly events: { name: string; carries: unknown }[] = [];
  readonly comments: string[] = [];
  text = '';
  isClosed = false;

  constructor(response: IncomingMessage) {
    this.response = response;
    response.setEncoding('utf8');
    response.on('data', (chunk: string) => {
      this.text += chunk;
      this.#read();
    });
    response.on('close', () => {
      this.isClosed = true;
    });
    response.on('error', () => {});
  }

  get names(): string[] {
    return this.events.map(({ name }) => name);
  }

  /** Resolves once so many events were heard. */
  async heard(count: number): Promise<this> {
    while (this.events.length < count) {
      if (this.isClosed) throw new Error(`closed after ${this.events.length} events`);
      await new Promise(setImmediate);
    }
    return this;
  }

  #read(): void {
    const blocks = this.text.split('\n\n');
    this.text = blocks.pop() ?? '';
    for (const block of blocks) {
      const name = /^event: (.*)$/m.exec(block)?.[1];
      const json = /^data: (.*)$/m.exec(block)?.[1];
      if (block.startsWith(':')) this.comments.push(block);
      if (name !== undefined && json !== undefined) {
        this.events.push({ name, carries: JSON.parse(json) });
      }
    }
  }
}

const liveEventSchema = z.union(
  Object.entries(liveEventSchemas).map(([name, carries]) =>
    z.strictObject({ name: z.literal(name), carries }),
  ),
);

function listen(api: Api): Promise<Listener> {
  return new Promise((resolve, reject) => {
    const sent = get(
      { host: '127.0.0.1', port: api.port, path: '/api/v1/live', agent: false },
      (response) => {
        if (response.statusCode === 200) resolve(new Listener(response));
        else reject(new Error(`status ${response.statusCode}`));
      },
    );
    sent.on('error', reject);
    onTestFinished(() => void sent.destroy());
  });
}

describe('GET /api/v1/live', () => {
  it('begins with the panel, the open alerts and the health, in this order', async () => {
    const { api, daemon } = await started();
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    daemon.problems = ['The disk refuses.'];
    const listener = await (await listen(api)).heard(3);
    expect(listener.response.headers).toMatchObject({
      'content-type': 'text/event-stream; charset=utf-8',
      'cache-control': 'no-store',
      'x-content-type-options': 'nosniff',
    });
    expect(listener.events).toEqual([
      { name: 'panel', carries: panelAt(START_MS) },
      { name: 'alerts', carries: { alerts: [alertWith({ id: 'a#1' })] } },
      {
        name: 'health',
        carries: { status: 'degraded', problems: ['The disk refuses.'], utcOffsetMs: 0 },
      },
    ]);
  });

  it('begins with the alerts while there is no panel yet', async () => {
    const { api, daemon } = await started();
    daemon.nowPanel = null;
    expect((await (await listen(api)).heard(2)).names).toEqual(['alerts', 'health']);
  });

  it('tells alert events and panel events at once, and in their order', async () => {
    const { api, daemon } = await started();
    const listener = await (await listen(api)).heard(3);
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    daemon.acknowledge('a#1', 'Ann');
    const panelEvent = {
      atMs: START_MS,
      type: 'position changed' as const,
      part: 'selector',
      text: 'The selector went to SHORE BOW.',
    };
    daemon.tell({ alertEvents: [], panelEvents: [panelEvent], tookMs: 1 });
    await listener.heard(6);
    expect(listener.names.slice(3)).toEqual(['alert', 'alert', 'event']);
    expect(listener.events[4]?.carries).toMatchObject({
      seq: 2,
      type: 'acknowledged',
      actor: 'Ann',
    });
    expect(listener.events[5]?.carries).toEqual(panelEvent);
    for (const { name, carries } of listener.events) {
      expect(liveEventSchema.safeParse({ name, carries }).error).toBeUndefined();
    }
  });

  it('tells a panel once a second at most, the newest, and none twice', async () => {
    const { api, daemon, clock } = await started();
    const listener = await (await listen(api)).heard(3);
    for (let tenth = 1; tenth <= 40; tenth += 1) {
      clock.advanceTo(START_MS + tenth * 100);
      if (tenth <= 35) daemon.nowPanel = panelAt(START_MS + tenth * 100);
      daemon.tell({ alertEvents: [], panelEvents: [], tookMs: 1 });
    }
    daemon.happens(alertWith({ id: 'last#1' }), 'raised');
    await listener.heard(7);
    const told = listener.events.slice(3).map(({ name, carries }) => {
      const panel = liveEventSchemas.panel.safeParse(carries);
      return panel.success ? panel.data.atMs - START_MS : name;
    });
    // The second tick comes before the panel of its own instant is there; the first is too soon
    // after the one that the listener began with.
    expect(told).toEqual([1900, 2900, 3500, 'alert']);
  });

  it('keeps to real seconds when the clock runs fast', async () => {
    const { api, daemon, clock } = await started();
    daemon.speed = 60;
    const fast = await started({ parts: daemon, clock });
    const listener = await (await listen(fast.api)).heard(3);
    for (let second = 1; second <= 180; second += 1) {
      daemon.nowPanel = panelAt(START_MS + second * 1000);
      clock.advanceTo(START_MS + second * 1000);
    }
    daemon.happens(alertWith({ id: 'last#1' }), 'raised');
    await listener.heard(6);
    expect(listener.names.slice(3)).toEqual(['panel', 'panel', 'alert']);
    await api.stop();
  });

  it('tells the health when it changes, and gives a sign of life where nothing happens', async () => {
    const { api, daemon, clock } = await started();
    const listener = await (await listen(api)).heard(3);
    clock.advanceTo(START_MS + 1000);
    daemon.problems = ['The broker is gone.'];
    clock.advanceTo(START_MS + 3000);
    daemon.problems = [];
    clock.advanceTo(START_MS + 16_000);
    await listener.heard(5);
    expect(listener.events.slice(3).map(({ carries }) => carries)).toEqual([
      { status: 'degraded', problems: ['The broker is gone.'], utcOffsetMs: 0 },
      { status: 'ok', problems: [], utcOffsetMs: 0 },
    ]);
    expect(listener.comments).toEqual([': still here']);
  });

  it('takes 32 listeners, refuses the next with 503, and takes one again when one goes', async () => {
    const { api, daemon } = await started();
    const listeners = await Promise.all(Array.from({ length: 32 }, () => listen(api)));
    const refused = await ask(api, '/api/v1/live');
    expect(refused.status).toBe(503);
    expect(refused.text).toMatch(/Too many pages listen already/);
    listeners[0]?.response.destroy();
    let again: Listener | null = null;
    while (again === null) again = await listen(api).catch(() => null);
    await again.heard(3);
    daemon.happens(alertWith({ id: 'a#1' }), 'raised');
    await again.heard(4);
    await listeners[31]?.heard(4);
  });

  it('cuts off a listener that does not read, and nobody else', async () => {
    const { api, daemon } = await started();
    const reader = await (await listen(api)).heard(3);
    const frozen = connect(api.port, '127.0.0.1');
    frozen.on('error', () => {});
    onTestFinished(() => void frozen.destroy());
    frozen.write('GET /api/v1/live HTTP/1.1\r\nHost: localhost\r\n\r\n');
    await new Promise((resolve) => frozen.once('readable', resolve));
    // It never reads; the network's own buffers fill, then ours, then it is cut off.
    const large = alertWith({ id: 'large', means: 'x'.repeat(50_000) });
    let told = 0;
    const streams = async (): Promise<number> =>
      Number(/^panelward_live_streams (\d+)$/m.exec((await ask(api, '/metrics')).text)?.[1]);
    expect(await streams()).toBe(2);
    while ((await streams()) === 2 && told < 2000) {
      // Less than the bound at a time, so that one who reads is never behind it.
      for (let index = 0; index < 4; index += 1) {
        told += 1;
        const event = {
          seq: told,
          atMs: START_MS,
          alertId: large.id,
          type: 'held' as const,
          actor: 'panelward',
          alert: large,
        };
        daemon.tell({ alertEvents: [event], panelEvents: [], tookMs: null });
      }
      await reader.heard(3 + told);
    }
    expect(await streams()).toBe(1);
    expect(reader.names.filter((name) => name === 'alert')).toHaveLength(told);
    expect(reader.isClosed).toBe(false);
  });

  it('ends with the daemon', async () => {
    const { api } = await started();
    const listener = await (await listen(api)).heard(3);
    await api.stop();
    while (!listener.isClosed) await new Promise(setImmediate);
    await expect(ask(api, '/api/v1/boat')).rejects.toThrow(/ECONNREFUSED/);
  });
});
