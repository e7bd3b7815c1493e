/**
 * Who may keep a connection open. Sockets that ask for nothing must not keep a person from the page:
 * when there are too many, one that has no request under way gives way, of the address that holds
 * most. Where every place is at work, the newcomer is turned away.
 */
import type { IncomingMessage, ServerResponse, Server } from 'node:http';
import type { Server as TlsServer } from 'node:https';
import type { Socket } from 'node:net';
import { networkOf } from '../network-address.ts';
import { plainAddress } from './guards.ts';

export interface GateLimits {
  all: number;
  /** A browser has about six; several may be behind one router. This computer itself may have all. */
  perAddress: number;
}

export const GATE_LIMITS: GateLimits = { all: 256, perAddress: 48 };

/** What the gate needs of a socket. */
export interface Visiting {
  readonly remoteAddress?: string | undefined;
  readonly remotePort?: number | undefined;
  destroy(): unknown;
  once(event: 'close', listener: () => void): unknown;
}

type Whose = Pick<Visiting, 'remoteAddress' | 'remotePort'>;

interface Place {
  socket: Visiting;
  address: string;
  /** Requests that are being answered. */
  atWork: number;
}

export class ConnectionGate {
  readonly #limits: GateLimits;
  /** Oldest first. */
  readonly #places = new Map<string, Place>();

  constructor(limits: GateLimits = GATE_LIMITS) {
    this.#limits = limits;
  }

  get open(): number {
    return this.#places.size;
  }

  guard(server: Server | TlsServer): void {
    // By TLS a request knows another socket than the connection, of the same address and port.
    server.on('connection', (socket: Socket) => this.enter(socket));
    server.on('request', (request: IncomingMessage, response: ServerResponse) => {
      const done = this.work(request.socket);
      response.once('close', done);
    });
  }

  /** A new connection, which may cost another one its place, or has none. */
  enter(socket: Visiting): void {
    const key = keyOf(socket);
    if (key === null) {
      socket.destroy();
      return;
    }
    const address = networkOf(plainAddress(socket.remoteAddress) ?? '');
    if (!this.#hasRoom(address)) {
      socket.destroy();
      return;
    }
    this.#places.set(key, { socket, address, atWork: 0 });
    socket.once('close', () => {
      if (this.#places.get(key)?.socket === socket) this.#places.delete(key);
    });
  }

  /** A request began on this connection; to be called when it has been answered. */
  work(socket: Whose): () => void {
    const place = this.#places.get(keyOf(socket) ?? '');
    if (place === undefined) return () => {};
    place.atWork += 1;
    return () => {
      place.atWork -= 1;
    };
  }

  #hasRoom(address: string): boolean {
    const counts = this.#counts();
    const own = counts.get(address) ?? 0;
    if (own >= this.#limits.perAddress && !isThisComputer(address)) return this.#giveWay(address);
    if (this.#places.size < this.#limits.all) return true;
    // The newcomer counts too: of two that hold as many, the one that wants more gives way.
    counts.set(address, own + 1);
    const byCount = [...counts].sort(([, one], [, other]) => other - one);
    return byCount.some(([each]) => this.#giveWay(each));
  }

  #counts(): Map<string, number> {
    const counts = new Map<string, number>();
    for (const { address } of this.#places.values()) {
      counts.set(address, (counts.get(address) ?? 0) + 1);
    }
    return counts;
  }

  /** The oldest of an address that is not at work loses its place; false: all are at work. */
  #giveWay(address: string): boolean {
    for (const [key, place] of this.#places) {
      if (place.address !== address || place.atWork > 0) continue;
      this.#places.delete(key);
      place.socket.destroy();
      return true;
    }
    return false;
  }
}

/** Null: it is gone already. */
function keyOf({ remoteAddress, remotePort }: Whose): string | null {
  return remoteAddress === undefined ? null : `${remoteAddress} ${remotePort}`;
}

const THIS_COMPUTER = networkOf('::1');

const isThisComputer = (address: string): boolean =>
  address.startsWith('127.') || address === THIS_COMPUTER;
