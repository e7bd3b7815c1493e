/**
 * MQTT 3.1.1 packets by hand, for clients that misbehave in ways that no client library would.
 * Layouts from the standard: CONNECT 3.1, PUBLISH 3.3, SUBSCRIBE 3.8.
 */
import { connect, type Socket } from 'node:net';
import { once } from 'node:events';

export function remainingLength(bytes: number): Buffer {
  const parts: number[] = [];
  let rest = bytes;
  do {
    const more = rest >= 128 ? 0x80 : 0;
    parts.push((rest % 128) | more);
    rest = Math.floor(rest / 128);
  } while (rest > 0);
  return Buffer.from(parts);
}

function text(content: string): Buffer {
  const bytes = Buffer.from(content);
  const length = Buffer.alloc(2);
  length.writeUInt16BE(bytes.length);
  return Buffer.concat([length, bytes]);
}

function packet(firstByte: number, body: Buffer): Buffer {
  return Buffer.concat([Buffer.from([firstByte]), remainingLength(body.length), body]);
}

export function connectPacket(clientId: string, { keepalive = 60 } = {}): Buffer {
  const flags = Buffer.from([4, 0x02, keepalive >> 8, keepalive & 0xff]);
  return packet(0x10, Buffer.concat([text('MQTT'), flags, text(clientId)]));
}

/** QoS 0; with a packet id QoS 1. */
export function publishPacket(
  topic: string,
  payload: Buffer,
  { packetId, isDup = false }: { packetId?: number; isDup?: boolean } = {},
): Buffer {
  const id =
    packetId === undefined ? Buffer.alloc(0) : Buffer.from([packetId >> 8, packetId & 255]);
  const firstByte = 0x30 | (packetId === undefined ? 0 : 0x02) | (isDup ? 0x08 : 0);
  return packet(firstByte, Buffer.concat([text(topic), id, payload]));
}

export function subscribePacket(filter: string): Buffer {
  return packet(0x82, Buffer.concat([Buffer.from([0, 1]), text(filter), Buffer.from([0])]));
}

/** A bare TCP connection to `host:port`. Errors are expected and ignored; look at `destroyed`. */
export async function openTcp(address: string): Promise<Socket> {
  const [host = '', port = ''] = address.split(':');
  const socket = connect({ host, port: Number(port) });
  socket.on('error', () => {});
  await once(socket, 'connect');
  socket.resume();
  return socket;
}
