/** Clients of the broker under measurement, in a process of their own: `KIND HOST:PORT SECONDS`. */
import { once } from 'node:events';
import { connect } from 'node:net';
import type { Socket } from 'node:net';
import { setTimeout as wait } from 'node:timers/promises';
import {
  connectPacket,
  publishPacket,
  remainingLength,
  subscribePacket,
} from '../daemon/intake/mqtt-bytes.ts';

const [kind = '', address = '', seconds = '10'] = process.argv.slice(2);
const endAtMs = performance.now() + Number(seconds) * 1000;

async function open(name: string): Promise<Socket> {
  const [host = '', port = ''] = address.split(':');
  const socket = connect({ host, port: Number(port) });
  socket.on('error', () => {});
  await once(socket, 'connect');
  socket.write(connectPacket(name));
  await once(socket, 'data');
  socket.resume();
  return socket;
}

/** Ten thousand messages a second, as well as the socket takes them; back at once when cut off. */
async function flood(): Promise<void> {
  let socket = await open('loud');
  const packet = publishPacket('panel/loud', Buffer.from('118.25'));
  const startMs = performance.now();
  let sent = 0;
  while (performance.now() < endAtMs) {
    if (socket.destroyed) socket = await open('loud');
    const due = Math.floor((performance.now() - startMs) * 10) - sent;
    if (due > 0 && !socket.writableNeedDrain) {
      socket.write(Buffer.concat(Array.from({ length: due }, () => packet)));
      sent += due;
    }
    await wait(5);
  }
  process.stdout.write(`${sent}\n`);
  socket.destroy();
}

/** Five sensors at ten messages a second, each message the instant at which it was sent. */
async function quiet(): Promise<void> {
  const sockets = await Promise.all([1, 2, 3, 4, 5].map((n) => open(`quiet-${n}`)));
  while (performance.now() < endAtMs) {
    for (const [n, socket] of sockets.entries()) {
      const sentAtMs = performance.timeOrigin + performance.now();
      socket.write(publishPacket(`panel/quiet/${n}`, Buffer.from(String(sentAtMs))));
    }
    await wait(100);
  }
  for (const socket of sockets) socket.destroy();
}

/** Reads everything below panel, and then nothing any more. */
async function frozen(): Promise<void> {
  const socket = await open('frozen');
  socket.write(subscribePacket('panel/#'));
  await wait(100);
  socket.pause();
  await wait(Number(seconds) * 1000);
  socket.destroy();
}

/** Fifty mebibytes in one message. */
async function huge(): Promise<void> {
  const socket = await open('huge');
  const bytes = 50 * 1024 * 1024;
  socket.write(Buffer.concat([Buffer.from([0x30]), remainingLength(bytes)]));
  for (let sent = 0; sent < bytes && !socket.destroyed; sent += 65_536) {
    if (!socket.write(Buffer.alloc(65_536))) {
      // Being cut off is what it came for.
      await Promise.race([once(socket, 'drain'), once(socket, 'close')]).catch(() => {});
    }
  }
  socket.destroy();
}

const KINDS: Record<string, () => Promise<void>> = { flood, quiet, frozen, huge };
await KINDS[kind]?.();
