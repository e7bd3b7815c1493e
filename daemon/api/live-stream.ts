/**
 * The live stream: server-sent events to the pages that are open. A client that does not read is
 * cut off, so that a phone asleep in a pocket never fills the memory; it connects again by itself.
 */
import type { ServerResponse } from 'node:http';
import type { Clock } from '../clock.ts';
import type { HealthEvent, LiveEvent } from './contract.ts';
import type { ApiParts, Update } from './parts.ts';

export const LIVE_CLIENTS_MAX = 32;
/** Unsent bytes of one client beyond which it is cut off. */
const UNSENT_BYTES_MAX = 256 * 1024;
/** Real seconds between two panels, and between two signs of life where nothing else is sent. */
const PANEL_EVERY_MS = 1000;
const SIGN_OF_LIFE_TICKS = 15;
/** The browser waits so long before it connects again. */
const RETRY_MS = 2000;

interface Listener {
  /** The tick before which it joined. */
  joined: number;
  mayListen: () => boolean;
}

export class LiveStream {
  readonly #parts: ApiParts;
  readonly #clients = new Map<ServerResponse, Listener>();
  readonly #stops: (() => void)[];
  /** The panel that was sent last, to send none twice. */
  #sentPanelAtMs: number | null = null;
  #sentHealth = '';
  #ticks = 0;
  /** Clients cut off because they did not read, since start. */
  cutOff = 0;

  constructor(parts: ApiParts, clock: Clock) {
    this.#parts = parts;
    // The clock may run fast in a demonstration; a person's eyes and a phone's battery do not.
    const everyMs = PANEL_EVERY_MS * parts.boat().speed;
    this.#stops = [
      clock.every(everyMs, () => this.#tick()),
      parts.onUpdate((update) => this.#tell(update)),
    ];
  }

  get clients(): number {
    return this.#clients.size;
  }

  get isFull(): boolean {
    return this.#clients.size >= LIVE_CLIENTS_MAX;
  }

  /**
   * Takes over a response whose headers are sent: the panel, the open alerts, the health, the news,
   * until `mayListen`, which is asked every second, says no.
   */
  add(response: ServerResponse, mayListen: () => boolean = () => true): void {
    this.#clients.set(response, { joined: this.#ticks, mayListen });
    response.once('close', () => this.#clients.delete(response));
    response.once('error', () => this.#clients.delete(response));
    const panel = this.#parts.panel();
    const health = textOf({ name: 'health', carries: this.#health() });
    // Nobody listened before: what was told last does not count.
    if (this.#clients.size === 1) this.#sentHealth = health;
    const first = [
      `retry: ${RETRY_MS}\n\n`,
      panel === null ? '' : textOf({ name: 'panel', carries: panel }),
      textOf({ name: 'alerts', carries: { alerts: this.#parts.openAlerts() } }),
      health,
    ];
    response.write(first.join(''));
  }

  stop(): void {
    for (const stop of this.#stops) stop();
    for (const response of this.#clients.keys()) response.destroy();
    this.#clients.clear();
  }

  #tell({ alertEvents, panelEvents }: Update): void {
    if (this.#clients.size === 0) return;
    for (const carries of alertEvents) this.#send(textOf({ name: 'alert', carries }));
    for (const carries of panelEvents) this.#send(textOf({ name: 'event', carries }));
  }

  #tick(): void {
    this.#ticks += 1;
    this.#sendAway();
    if (this.#clients.size === 0) return;
    const panel = this.#parts.panel();
    if (panel !== null && panel.atMs !== this.#sentPanelAtMs) {
      this.#sentPanelAtMs = panel.atMs;
      // Whoever has just joined was given one less than a second ago.
      this.#send(textOf({ name: 'panel', carries: panel }), this.#ticks - 1);
    } else if (this.#ticks % SIGN_OF_LIFE_TICKS === 0) {
      this.#send(': still here\n\n');
    }
    const health = textOf({ name: 'health', carries: this.#health() });
    if (health === this.#sentHealth) return;
    this.#sentHealth = health;
    this.#send(health);
  }

  #sendAway(): void {
    for (const [response, { mayListen }] of this.#clients) {
      if (mayListen()) continue;
      this.#clients.delete(response);
      response.end();
    }
  }

  #health(): HealthEvent {
    const { status, problems, clock } = this.#parts.health();
    return { status, problems, utcOffsetMs: clock.utcOffsetMs };
  }

  #send(text: string, joinedBefore = Infinity): void {
    for (const [response, { joined }] of this.#clients) {
      if (joined >= joinedBefore) continue;
      if (response.writableLength > UNSENT_BYTES_MAX) {
        this.cutOff += 1;
        this.#clients.delete(response);
        response.destroy();
      } else {
        response.write(text);
      }
    }
  }
}

/** One event as the stream's format has it (WHATWG HTML, server-sent events); JSON has no line ends. */
function textOf({ name, carries }: LiveEvent): string {
  return `event: ${name}\ndata: ${JSON.stringify(carries)}\n\n`;
}
