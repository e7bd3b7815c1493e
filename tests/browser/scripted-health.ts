/** The health answer for tests of the page: a silent sensor, a few refused messages. */
import type { BoatAnswer, HealthAnswer, WaysAnswer } from '../../daemon/api/contract.ts';
import { SCRIPTED_POINTS } from './scripted-panel.ts';

export function scriptedHealth(nowMs: number, about: BoatAnswer): HealthAnswer {
  return {
    status: 'degraded',
    version: about.version,
    nowMs,
    startedAtMs: about.startedAtMs,
    problems: ['2 sensors are silent: small-l1-volts and house-l2-amps.'],
    points: SCRIPTED_POINTS,
    intake: {
      mqtt: {
        mode: 'embedded',
        address: 'mqtt://127.0.0.1:1883',
        isConnected: true,
        clients: 3,
        messages: 41_207,
        readings: 164_828,
      },
      marineData: {
        url: 'ws://127.0.0.1:3000/stream?subscribe=none',
        isConnected: false,
        frames: 8_112,
        readings: 24_330,
        repeated: 412,
        lastError: 'The other side closed the connection.',
      },
      refused: [
        {
          reason: 'payload is not JSON',
          count: 12,
          lastTopic: 'panel/house/extension/left',
          lastAtMs: nowMs - 400_000,
        },
        { reason: 'value is out of range', count: 1, lastTopic: null, lastAtMs: null },
      ],
      unmapped: [{ address: 'panel/galley', count: 208 }],
    },
    store: {
      isWritable: true,
      alertsFile: '/var/lib/panelward/alerts.sqlite',
      historyFile: '/var/lib/panelward/history.sqlite',
      bytes: 73_400_320,
      readingsStored: 1_204_551,
      readingsBuffered: 58,
      readingsLost: 0,
      lastFlushAtMs: nowMs - 3000,
      lastError: null,
      freeBytes: 21_474_836_480,
      totalBytes: 31_268_536_320,
      space: 'enough',
      filesSetAside: 0,
      problems: [],
    },
    clock: {
      quality: 'synchronised',
      utcOffsetMs: 0,
      boots: 12,
      says: 'A time server vouches for the wall clock.',
    },
    evaluation: { lastAtMs: nowMs, count: 7_201, lastTookMs: 2.4 },
  };
}

/** Two ways out, one of which fails; a browser may ask to be told. */
export function scriptedWays(nowMs: number): WaysAnswer {
  const well = { waiting: 0, givenUp: 0, lastProblem: null, failingSinceMs: null };
  return {
    ways: [
      {
        ...well,
        id: 'mail',
        kind: 'email',
        lastSentAtMs: nowMs - 7_200_000,
        lastTriedAtMs: nowMs - 7_200_000,
        lastAnswer: '250 OK',
      },
      {
        id: 'ashore',
        kind: 'webhook',
        waiting: 2,
        givenUp: 0,
        lastSentAtMs: null,
        lastAnswer: null,
        lastTriedAtMs: nowMs - 60_000,
        lastProblem: 'By "ashore": it answered 503.',
        failingSinceMs: nowMs - 1_800_000,
      },
    ],
    pushKey:
      'BNcRdreALRFXTkOOUHK1EtK2wtaz5Ry4YfYCA_0QTpQtUbVlUls0VJXg7A8u-Ts1XbjhazAkj7I99e8QcYP7DkM',
    contacts: [{ id: 'owner', name: 'Wren' }],
  };
}
