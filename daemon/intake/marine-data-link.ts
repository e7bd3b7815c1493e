/**
 * One connection to an open marine data server, from handshake to end. It watches itself: no hello
 * in time, or nothing heard for too long (values, pings, answers to our pings), and it hangs up.
 */
import { WebSocket, type RawData } from 'ws';
import type { Clock } from '../clock.ts';
import { readFrame, type MarineFrame } from './marine-data-frame.ts';
import { MOST_PAYLOAD_BYTES } from './payload-text.ts';
import { printable } from './refusals.ts';

/** Frames up to this are read and refused by us; the WebSocket itself hangs up on larger ones. */
const MOST_FRAME_BYTES = 2 * MOST_PAYLOAD_BYTES;
const LOOK_EVERY_MS = 5_000;
const HELLO_WITHIN_MS = 15_000;
const PING_EVERY_MS = 25_000;
const SILENT_FOR_MS = 75_000;
const LONGEST_REASON = 200;

/** Answers after which a person has something to do, so that hurrying does not help. */
const SLOW_ANSWERS = new Map([
  [401, 'it does not let panelward in without a valid token'],
  [403, 'it does not let panelward in with this token'],
  [429, 'it has too many connections from here'],
]);

export interface MarineLink {
  send(text: string): void;
  /** Hangs up; `onClosed` still follows. */
  close(): void;
}

export interface LinkEnd {
  /** Why, in words for a person. */
  reason: string;
  /** True: only a person can mend it, so try again seldom. */
  isSlow: boolean;
  /** True: a frame was larger than the WebSocket takes. */
  hadHugeFrame: boolean;
}

export function openLink(options: {
  url: URL;
  /** Sent as a bearer token with the handshake; never logged. */
  token?: string;
  linkClock: Clock;
  onFrame: (frame: MarineFrame, link: MarineLink) => void;
  onClosed: (end: LinkEnd) => void;
}): MarineLink {
  const { url, token, linkClock, onFrame, onClosed } = options;
  const socket = new WebSocket(url, {
    headers: token === undefined ? {} : { Authorization: `Bearer ${token}` },
    maxPayload: MOST_FRAME_BYTES,
    // Compression would let a small frame unpack to a large one.
    perMessageDeflate: false,
  });
  const end: LinkEnd = { reason: '', isSlow: false, hadHugeFrame: false };
  let hasHello = false;

  const hangUp = (reason: string): void => {
    end.reason ||= printable(reason, LONGEST_REASON);
    socket.terminate();
  };
  const link: MarineLink = {
    send: (text) => socket.send(text),
    close: () => hangUp('panelward closed it'),
  };
  const endWatch = watch(socket, linkClock, () => hasHello, hangUp);

  socket.on('message', (raw: RawData) => {
    const frame = readFrame(bytesOf(raw));
    hasHello ||= frame.kind === 'hello';
    onFrame(frame, link);
  });
  socket.on('unexpected-response', (_request, { statusCode = 0 }) => {
    end.isSlow = SLOW_ANSWERS.has(statusCode);
    const meaning = SLOW_ANSWERS.get(statusCode) ?? 'there is no stream at this address';
    hangUp(`the server answered ${statusCode}: ${meaning}`);
  });
  socket.on('error', (error) => {
    const code = 'code' in error ? String(error.code) : '';
    end.hadHugeFrame ||= code === 'WS_ERR_UNSUPPORTED_MESSAGE_LENGTH';
    hangUp(error.message || code);
  });
  socket.on('close', (code, text) => {
    endWatch();
    end.reason ||= printable(`the server hung up (${code} ${text.toString()})`, LONGEST_REASON);
    onClosed(end);
  });
  return link;
}

function bytesOf(raw: RawData): Buffer {
  if (Buffer.isBuffer(raw)) return raw;
  return Array.isArray(raw) ? Buffer.concat(raw) : Buffer.from(raw);
}

function watch(
  socket: WebSocket,
  linkClock: Clock,
  hasHello: () => boolean,
  hangUp: (reason: string) => void,
): () => void {
  const startedAtMs = linkClock.nowMs();
  let heardAtMs = startedAtMs;
  const hear = (): void => {
    heardAtMs = linkClock.nowMs();
  };
  for (const event of ['ping', 'pong', 'message'] as const) socket.on(event, hear);
  const endPings = linkClock.every(PING_EVERY_MS, () => {
    if (socket.readyState === WebSocket.OPEN) socket.ping();
  });
  const endLooks = linkClock.every(LOOK_EVERY_MS, () => {
    const nowMs = linkClock.nowMs();
    if (!hasHello() && nowMs - startedAtMs >= HELLO_WITHIN_MS) {
      hangUp(`no hello came within ${HELLO_WITHIN_MS / 1000} s`);
    } else if (nowMs - heardAtMs >= SILENT_FOR_MS) {
      hangUp(`nothing was heard for ${SILENT_FOR_MS / 1000} s`);
    }
  });
  return () => {
    endPings();
    endLooks();
  };
}
