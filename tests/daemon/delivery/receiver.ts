/** An HTTPS server of this computer whose answers are scripted, and that keeps what it was sent. */
import { once } from 'node:events';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { createServer } from 'node:https';
import type { AddressInfo } from 'node:net';
import { onTestFinished } from 'vitest';
import type { Certificates } from './certificates.ts';

export interface Received {
  path: string;
  headers: IncomingMessage['headers'];
  body: Buffer;
}

export interface Receiver {
  port: number;
  received: Received[];
  /** What it does with the next requests. */
  answer: (response: ServerResponse, request: Received) => void;
}

export async function startReceiver({ cert, key }: Certificates): Promise<Receiver> {
  const receiver: Receiver = { port: 0, received: [], answer: saying(200, '{"ok": true}') };
  const server = createServer({ cert, key }, (request, response) => {
    const chunks: Buffer[] = [];
    request.on('data', (chunk: Buffer) => chunks.push(chunk));
    request.on('end', () => {
      const { url: path = '', headers } = request;
      const received = { path, headers, body: Buffer.concat(chunks) };
      receiver.received.push(received);
      receiver.answer(response, received);
    });
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  receiver.port = (server.address() as AddressInfo).port;
  onTestFinished(() => {
    server.closeAllConnections();
    server.close();
  });
  return receiver;
}

export function saying(
  status: number,
  body: string,
  headers: Record<string, string> = {},
): Receiver['answer'] {
  return (response) => {
    response.writeHead(status, headers);
    response.end(body);
  };
}

export const hanging: Receiver['answer'] = () => {};

/** What a marina's network says to everything until somebody has agreed to its terms. */
export const portal = saying(200, '<html><title>Welcome to the marina</title></html>', {
  'content-type': 'text/html',
});
