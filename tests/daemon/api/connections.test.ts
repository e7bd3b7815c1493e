/**
 * Connections that ask for nothing do not keep a person from the page. `HALF_OPEN=2000` opens the
 * full number; each that is closed is opened again at once.
 */
import { connect, type Socket } from 'node:net';
import { describe, expect, it, onTestFinished } from 'vitest';
import { ConnectionGate, type Visiting } from '../../../daemon/api/connection-gate.ts';
import { ask, type Started, started } from './fixtures.ts';

const HALF_OPEN = Number(process.env['HALF_OPEN'] ?? 400);
const ASKS = 5;

/** Connections from an address of their own that send half a line and wait, until the test ends. */
function besiege({ api }: Started, count: number): { everOpen: number; atOnce: number } {
  const sockets = new Set<Socket>();
  const seen = { everOpen: 0, atOnce: 0 };
  let isOver = false;
  const open = (): void => {
    if (isOver) return;
    const socket = connect({ port: api.port, host: '127.0.0.1', localAddress: '127.0.0.2' });
    sockets.add(socket);
    socket.on('error', () => {});
    socket.once('connect', () => {
      seen.everOpen += 1;
      seen.atOnce = Math.max(seen.atOnce, sockets.size);
      socket.write('GET /api/v1/bo');
    });
    socket.once('close', () => {
      sockets.delete(socket);
      setImmediate(open);
    });
  };
  for (let each = 0; each < count; each += 1) open();
  onTestFinished(() => {
    isOver = true;
    for (const socket of sockets) socket.destroy();
  });
  return seen;
}

describe('connections that are half open', () => {
  it(`${HALF_OPEN} of them, come again and again, keep nobody from the page`, async () => {
    const all = await started();
    const seen = besiege(all, HALF_OPEN);
    await expect.poll(() => seen.everOpen, { timeout: 20_000 }).toBeGreaterThanOrEqual(HALF_OPEN);
    for (let each = 0; each < ASKS; each += 1) {
      const answered = await ask(all.api, '/api/v1/boat');
      expect(answered.status).toBe(200);
    }
    expect(seen.atOnce).toBeGreaterThan(256);
  });
});

class Visit implements Visiting {
  readonly remoteAddress: string;
  readonly remotePort: number;
  isDestroyed = false;
  #closed: () => void = () => {};

  constructor(address: string, port: number) {
    this.remoteAddress = address;
    this.remotePort = port;
  }

  destroy(): void {
    this.isDestroyed = true;
    this.#closed();
  }

  once(_event: 'close', closed: () => void): void {
    this.#closed = closed;
  }
}

function gateWith(all: number, perAddress: number) {
  const gate = new ConnectionGate({ all, perAddress });
  let port = 0;
  const enter = (address: string): Visit => {
    port += 1;
    const visit = new Visit(address, port);
    gate.enter(visit);
    return visit;
  };
  return { gate, enter };
}

const STRANGER = '192.0.2.66';
const PERSON = '192.0.2.7';

describe('the gate', () => {
  it('takes a place of the address that holds most, the oldest that asks for nothing', () => {
    const { gate, enter } = gateWith(10, 100);
    const [person] = [enter(PERSON)];
    const strangers = Array.from({ length: 9 }, () => enter(STRANGER));
    gate.work(strangers[0] ?? enter(STRANGER));
    const another = enter(PERSON);
    expect([person.isDestroyed, another.isDestroyed]).toEqual([false, false]);
    expect(strangers.map(({ isDestroyed }) => isDestroyed)).toEqual([
      false,
      true,
      ...Array<boolean>(7).fill(false),
    ]);
    for (let each = 0; each < 50; each += 1) enter(STRANGER);
    expect([person.isDestroyed, another.isDestroyed]).toEqual([false, false]);
    expect(gate.open).toBe(10);
  });

  it('turns the newcomer away where all are at work, and lets in again after that', () => {
    const { gate, enter } = gateWith(3, 100);
    const dones = [enter(STRANGER), enter(STRANGER), enter(PERSON)].map((each) => gate.work(each));
    expect(enter(PERSON).isDestroyed).toBe(true);
    dones[0]?.();
    expect(enter(PERSON).isDestroyed).toBe(false);
    expect(gate.open).toBe(3);
  });

  it('gives an address so many places and no more, and a network of IPv6 is one address', () => {
    const { gate, enter } = gateWith(100, 4);
    const visits = Array.from({ length: 6 }, (_, each) => enter(`2001:db8::${each + 1}`));
    expect(visits.map(({ isDestroyed }) => isDestroyed)).toEqual([
      true,
      true,
      ...Array<boolean>(4).fill(false),
    ]);
    for (const visit of visits) gate.work(visit);
    expect(enter('2001:db8::99').isDestroyed).toBe(true);
    expect(enter('::ffff:192.0.2.7').isDestroyed).toBe(false);
    for (let each = 0; each < 10; each += 1) enter('127.0.0.1');
    expect(gate.open).toBe(15);
  });

  it('has the place of one that left', () => {
    const { gate, enter } = gateWith(2, 100);
    const [one] = [enter(PERSON), enter(PERSON)];
    one.destroy();
    expect(gate.open).toBe(1);
  });
});
