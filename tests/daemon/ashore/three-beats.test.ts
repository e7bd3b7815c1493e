/**
 * The whole way: a simulated boat, the real daemon aboard, a router in between, the real watcher
 * ashore. Router and shore power die in the same second, and come back together.
 */
import { connect, createServer } from 'node:net';
import type { Server, Socket } from 'node:net';
import { describe, expect, onTestFinished, test } from 'vitest';
import { settingsSchema } from '../../../daemon/settings/settings.ts';
import { Stage, START_MS } from '../../scenarios/stage.ts';
import { SECRET, watching } from './beats.ts';

const EVERY_SECONDS = 60;
/** As the scenario has it. */
const SHORE_LOST_S = 4 * 60;
const SHORE_BACK_S = 19 * 60;
/** Sensors, daemon and watcher move on together, so far at once. */
const STEP_S = 5;

/** The boat's router: a port that passes everything on while it has power. */
class Router {
  isOn = true;
  readonly #server: Server;
  readonly #open = new Set<Socket>();

  private constructor(server: Server) {
    this.#server = server;
  }

  static async to(port: number): Promise<Router> {
    const server = createServer();
    const router = new Router(server);
    server.on('connection', (near) => {
      if (!router.isOn) {
        near.destroy();
        return;
      }
      const far = connect(port, '127.0.0.1');
      for (const socket of [near, far]) {
        router.#open.add(socket);
        socket.on('error', () => {}).on('close', () => router.#open.delete(socket));
      }
      near.pipe(far).pipe(near);
    });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    return router;
  }

  get port(): number {
    const address = this.#server.address();
    return typeof address === 'object' && address ? address.port : 0;
  }

  die(): void {
    this.isOn = false;
    for (const socket of this.#open) socket.destroy();
  }

  close(): Promise<unknown> {
    this.die();
    return new Promise((resolve) => this.#server.close(resolve));
  }
}

describe('router and shore power die in the same second', () => {
  test('the watcher speaks within three beats, once, and on her return says that power was really lost', async () => {
    const { ashore, clock, letters } = await watching({ atMs: START_MS });
    const router = await Router.to(Number(new URL(ashore.address).port));
    onTestFinished(async () => void (await router.close()));
    const stage = await Stage.open('shore-lost-canal', 1, {
      everyMs: STEP_S * 1000,
      decided: {
        settings: settingsSchema.parse({
          heartbeat: {
            url: `http://127.0.0.1:${router.port}/beats/heron`,
            onBoat: true,
            everySeconds: EVERY_SECONDS,
            signingSecret: 'ashore',
            proof: true,
          },
        }),
        secrets: new Map([['ashore', SECRET]]),
      },
    });
    onTestFinished(() => stage.close());
    const toldAtS: number[] = [];
    for (let atS = STEP_S; atS <= 27 * 60; atS += STEP_S) {
      if (atS === SHORE_LOST_S) router.die();
      if (atS === SHORE_BACK_S + 5 * 60) router.isOn = true;
      await stage.moveTo(atS * 1000);
      await beatsAreOver(stage);
      clock.advanceTo(START_MS + atS * 1000);
      while (toldAtS.length < letters.length) toldAtS.push(atS);
    }
    const aboard = stage.daemon.health().heartbeat;
    expect(aboard?.failed).toBeGreaterThan(20);
    expect(aboard?.lastProblem).toBeNull();

    expect(letters.map(({ key }) => key.split('.').slice(-3).join('.'))).toEqual([
      'told-1.owner.mail',
      'back.owner.mail',
    ]);
    const [silent, back] = letters;
    const [silentAtS = Infinity] = toldAtS;
    expect(silentAtS - SHORE_LOST_S).toBeLessThanOrEqual(3 * EVERY_SECONDS);
    expect(silent?.headline).toMatch(
      /^Heron: no word since 00:0[23] \(3 min\); shore power on, service bank \d+ %, no alert open$/,
    );
    expect(back?.headline).toMatch(
      /^Heron is back after 2\d min\. Shore power was really lost, for about 1\d min, and is on again\.$/,
    );
    expect(back?.text).toContain('Shore power lost: Shore inlet reads no voltage');
    expect(back?.text).toContain('Her computer and panelward ran all the while.');
  });
});

/** Waits until every beat that has left was heard or has failed. */
async function beatsAreOver({ daemon }: Stage): Promise<void> {
  for (;;) {
    const beats = daemon.health().heartbeat;
    if (!beats || beats.sent === beats.heard + beats.failed) return;
    await new Promise((resolve) => setImmediate(resolve));
  }
}
