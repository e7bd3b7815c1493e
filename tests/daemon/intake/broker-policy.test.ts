/** What the broker's policy does to packets, where a real client could not show it in a short time. */
import type { Client } from 'aedes';
import { expect, test } from 'vitest';
import { manualClock } from '../../../daemon/clock.ts';
import { createBrokerGate } from '../../../daemon/intake/broker-gate.ts';
import { createBrokerPolicy } from '../../../daemon/intake/broker-policy.ts';
import { createCounters } from '../../../daemon/intake/intake-counters.ts';
import { LOCAL_ONLY } from '../../../daemon/intake/sensor-access.ts';
import { gather } from './gathering.ts';

type ConnectPacket = Parameters<ReturnType<typeof createBrokerPolicy>['preConnect']>[1];

const clock = manualClock(0);
const counters = createCounters(clock, gather().log);
const policy = createBrokerPolicy({
  clock,
  counters,
  gate: createBrokerGate({
    access: LOCAL_ONLY,
    counters,
    peerOf: () => '127.0.0.1',
    isLocal: () => true,
  }),
  messagesPerSecond: 10,
  onMessage: () => {},
});

// MQTT 3.1.1 section 3.1.2.10: 0 turns the keep alive off, 65,535 s is the longest.
test.each([
  [0, 300],
  [1, 1],
  [60, 60],
  [300, 300],
  [301, 300],
  [65_535, 300],
])('a keep alive of %i s becomes %i s, and no session is kept', (asked, given) => {
  const packet: ConnectPacket = {
    cmd: 'connect',
    clientId: 'c',
    keepalive: asked,
    clean: false,
    protocolId: 'MQTT',
  };
  let isWelcome = false;
  const client: Client = Object.create(null);
  policy.preConnect(client, packet, (_error, success) => {
    isWelcome = success;
  });
  expect({ ...packet, isWelcome }).toMatchObject({
    keepalive: given,
    clean: true,
    isWelcome: true,
  });
});
