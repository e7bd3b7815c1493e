/**
 * Listens to an open marine data server for ever: connect, wait for its hello, subscribe, take
 * deltas; when the link ends, wait and start again. It never publishes values and never asks the
 * server to switch anything.
 */
import type { Reading, Silence } from '../../rules/index.ts';
import type { Clock } from '../clock.ts';
import { createBackoff, LONGEST_WAIT_MS } from './backoff.ts';
import type { IntakeCounters, MarineCount } from './intake-counters.ts';
import type { IntakeLog } from './intake-log.ts';
import { createDeltaIntake } from './marine-data-deltas.ts';
import type { MarineFrame } from './marine-data-frame.ts';
import { openLink, type LinkEnd, type MarineLink } from './marine-data-link.ts';
import { subscribeMessage } from './marine-data-subscription.ts';
import { readMarineUrl, type MarineUrl } from './marine-data-url.ts';
import type { PlannedPoint } from './point-plan.ts';

export interface MarineDataOptions {
  /** `ws://host:port/path` or `wss://`. */
  url: string;
  /** Sent as a bearer token with the handshake; never logged. */
  token?: string;
  byPath: ReadonlyMap<string, readonly PlannedPoint[]>;
  /** Stamps readings. */
  clock: Clock;
  /** For waiting on the network: real time, also where readings are stamped with a faster one. */
  linkClock: Clock;
  /** Numbers in 0..1 for the jitter of reconnecting. */
  random: () => number;
  counters: IntakeCounters;
  channel: MarineCount;
  log: IntakeLog;
  onReading: (input: Reading | Silence) => void;
}

export interface MarineDataClient {
  /** The server's address without credentials. */
  address: string;
  /** Connected, and the server has said hello. */
  isConnected(): boolean;
  /** Why it is not, or the server's last complaint; null when all is well. */
  lastError(): string | null;
  stop(): Promise<void>;
}

/** Connects in the background, for ever; `problem` only for settings that can never work. */
export function connectMarineData(
  options: MarineDataOptions,
): MarineDataClient | { problem: string } {
  const url = readMarineUrl(options.url);
  if ('problem' in url) return url;
  // Anything else cannot stand in an HTTP header; a line end left over from a file is common.
  if (options.token !== undefined && !/^[\x21-\x7e]+$/.test(options.token)) {
    const what = "The open marine data server's token is empty or has blanks or line ends in it";
    return { problem: `${what}; give the token alone.` };
  }
  return keepListening(url, options);
}

function keepListening({ url, address }: MarineUrl, options: MarineDataOptions): MarineDataClient {
  const { token, byPath, linkClock, random, counters, channel, log } = options;
  const backoff = createBackoff(random);
  const deltas = createDeltaIntake(options);
  let link: MarineLink | null = null;
  let hasHello = false;
  let lastError: string | null = 'not connected yet';
  let cancelRetry = (): void => {};
  let whenStopped: (() => void) | null = null;

  const onHello = (from: MarineLink, hello: MarineFrame & { kind: 'hello' }): void => {
    if (!hasHello) log.info(`open marine data ${address}: connected, ${byPath.size} paths`);
    hasHello = true;
    lastError = null;
    backoff.reset();
    deltas.subscribed(hello.self, hello.serverMs);
    from.send(JSON.stringify(subscribeMessage(byPath)));
  };

  const onFrame = (frame: MarineFrame, from: MarineLink): void => {
    channel.messages += 1;
    if (frame.kind === 'hello') onHello(from, frame);
    else if (frame.kind === 'refused') counters.refuse(frame.refusal, null);
    else if (frame.kind === 'message') onMessage(frame);
    else if (hasHello) deltas.take(frame);
    else counters.refuse({ reason: 'before hello' }, null);
  };

  const onMessage = ({ text, isError }: MarineFrame & { kind: 'message' }): void => {
    if (!isError) return;
    lastError = text;
    counters.refuse({ reason: 'server message', found: text }, null);
  };

  const onClosed = ({ reason, isSlow, hadHugeFrame }: LinkEnd): void => {
    link = null;
    hasHello = false;
    lastError = reason;
    if (hadHugeFrame) counters.refuse({ reason: 'payload too large', found: 'a frame' }, null);
    if (whenStopped) {
      whenStopped();
      return;
    }
    const waitMs = isSlow ? LONGEST_WAIT_MS * (1 + random()) : backoff.nextMs();
    const inSeconds = Math.round(waitMs / 1000);
    log.warn(`open marine data ${address}: ${reason}; trying again in ${inSeconds} s`);
    cancelRetry = linkClock.after(waitMs, attempt);
  };

  function attempt(): void {
    const bearer = token === undefined ? {} : { token };
    link = openLink({ url, linkClock, onFrame, onClosed, ...bearer });
  }

  attempt();
  return {
    address,
    isConnected: () => hasHello,
    lastError: () => lastError,
    async stop() {
      cancelRetry();
      await new Promise<void>((resolve) => {
        whenStopped = resolve;
        if (link) link.close();
        else resolve();
      });
    },
  };
}
