/**
 * A TCP or TLS connection whose incoming bytes pass a packet filter first. To aedes and to the
 * mqtt client it is the connection. Back-pressure goes through both ways unchanged.
 */
import type { Socket } from 'node:net';
import { Duplex } from 'node:stream';
import type { PacketFilter } from './packet-filter.ts';

type Done = (error?: Error | null) => void;

class GuardedConnection extends Duplex {
  readonly #socket: Socket;

  constructor(socket: Socket, filter: PacketFilter) {
    super({ allowHalfOpen: false });
    this.#socket = socket;
    socket.on('data', (chunk: Buffer) => {
      for (const kept of filter.pass(chunk)) {
        if (!this.destroyed && !this.push(kept)) socket.pause();
      }
    });
    // What has come before the end is still to be read: a sensor may publish and hang up at once.
    socket.on('end', () => this.push(null));
    socket.on('error', (error) => this.destroy(error));
    socket.on('close', () => {
      if (!socket.readableEnded) this.destroy();
    });
  }

  override _read(): void {
    this.#socket.resume();
  }

  override _write(chunk: Buffer, _encoding: BufferEncoding, done: Done): void {
    this.#socket.write(chunk, done);
  }

  override _writev(chunks: { chunk: Buffer }[], done: Done): void {
    this.#socket.write(Buffer.concat(chunks.map(({ chunk }) => chunk)), done);
  }

  override _final(done: Done): void {
    if (this.#socket.destroyed) done();
    else this.#socket.end(done);
  }

  override _destroy(error: Error | null, done: Done): void {
    this.#socket.destroy();
    done(error);
  }
}

/** The guarded connection owns the socket from here on: destroying the one destroys the other. */
export function guardConnection(socket: Socket, filter: PacketFilter): Duplex {
  return new GuardedConnection(socket, filter);
}
