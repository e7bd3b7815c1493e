/**
 * Counts the embedded broker's connections. Those that have not said who they are get few places of
 * their own, and the one that has kept silent longest makes room for the next: a stranger who opens
 * connection after connection costs a sensor nothing.
 */
import type { Socket } from 'node:net';

export const MOST_CLIENTS = 64;
/** Connections that have sent no CONNECT yet. */
export const MOST_WAITING = 32;

export interface Doorway {
  /** Gives the connection a place, or destroys it; whoever has to go is told to `onRefused`. */
  enter(socket: Socket): void;
  /** It has said who it is. False: it has gone, or goes because all places are taken. */
  welcome(socket: Socket): boolean;
  /** Of both kinds. */
  count(): number;
  closeAll(): void;
}

export function createDoorway(onRefused: () => void): Doorway {
  const waiting = new Set<Socket>();
  const welcomed = new Set<Socket>();
  const refuse = (socket: Socket): false => {
    onRefused();
    socket.destroy();
    return false;
  };
  return {
    enter(socket) {
      // Also an error of a connection that nobody serves yet must find a listener.
      socket.on('error', () => socket.destroy());
      if (welcomed.size >= MOST_CLIENTS) {
        refuse(socket);
        return;
      }
      waiting.add(socket);
      socket.once('close', () => {
        waiting.delete(socket);
        welcomed.delete(socket);
      });
      const [oldest] = waiting;
      if (waiting.size <= MOST_WAITING || oldest === undefined) return;
      waiting.delete(oldest);
      refuse(oldest);
    },
    welcome(socket) {
      // Whoever has gone already takes no place.
      if (!waiting.delete(socket)) return false;
      if (welcomed.size >= MOST_CLIENTS) return refuse(socket);
      welcomed.add(socket);
      return true;
    },
    count: () => waiting.size + welcomed.size,
    closeAll() {
      for (const socket of [...waiting, ...welcomed]) socket.destroy();
    },
  };
}
