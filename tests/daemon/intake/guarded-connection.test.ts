import { once } from 'node:events';
import { createServer, type Socket } from 'node:net';
import { expect, test } from 'vitest';
import { guardConnection } from '../../../daemon/intake/guarded-connection.ts';
import { createPacketFilter } from '../../../daemon/intake/packet-filter.ts';
import { stopAfterwards, until } from './gathering.ts';
import { openTcp, publishPacket } from './mqtt-bytes.ts';

/** Both ends of a TCP connection, the served one guarded. */
async function pair() {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const bound = server.address();
  if (bound === null || typeof bound === 'string') throw new Error('no port');
  const accepted = once(server, 'connection');
  const peer = await openTcp(`127.0.0.1:${bound.port}`);
  const [socket]: Socket[] = await accepted;
  if (!socket) throw new Error('no connection');
  stopAfterwards(() => {
    peer.destroy();
    socket.destroy();
    server.close();
  });
  const guarded = guardConnection(
    socket,
    createPacketFilter(100_000, () => {}),
  );
  guarded.on('error', () => {});
  return { peer, socket, guarded };
}

const packets = Array.from({ length: 400 }, (_, n) =>
  publishPacket('t', Buffer.alloc(50_000, n % 256)),
);

test('a reader that does not read stops the sender, and gets everything later', async () => {
  const { peer, socket, guarded } = await pair();
  peer.end(Buffer.concat(packets));
  await until('the sender is held', () => socket.isPaused());
  const chunks: Buffer[] = [];
  guarded.on('data', (chunk: Buffer) => chunks.push(chunk));
  await once(guarded, 'end');
  expect(Buffer.concat(chunks).equals(Buffer.concat(packets))).toBe(true);
});

test('a full socket holds the writer, until the other side reads', async () => {
  const { peer, guarded } = await pair();
  peer.pause();
  let written = 0;
  for (const packet of packets) guarded.write(packet, () => (written += 1));
  expect(guarded.writableNeedDrain).toBe(true);
  peer.resume();
  await until('everything is written', () => written === packets.length);
  expect(guarded.writableNeedDrain).toBe(false);
});

test('what came before the end can still be read after it', async () => {
  const { peer, socket, guarded } = await pair();
  const packet = publishPacket('t', Buffer.from('last words'));
  peer.end(packet);
  await until('the end of the socket', () => socket.closed);
  const chunks: Buffer[] = [];
  guarded.on('data', (chunk: Buffer) => chunks.push(chunk));
  await until('the bytes', () => chunks.length > 0);
  expect(Buffer.concat(chunks)).toEqual(packet);
  await until('the end of the guarded side', () => guarded.destroyed);
});

test.each<[string, (ends: Awaited<ReturnType<typeof pair>>) => unknown]>([
  ['the guarded side', ({ guarded }) => guarded.destroy()],
  ['the socket', ({ socket }) => socket.destroy()],
  ['the peer', ({ peer }) => peer.resetAndDestroy()],
])('when %s is destroyed nothing is left open', async (_which, destroy) => {
  const ends = await pair();
  destroy(ends);
  await until('the end', () => ends.socket.destroyed && ends.guarded.destroyed);
  expect(ends.guarded.closed).toBe(true);
});
