/**
 * Who sends a request and what they may: the local screen, a person who is signed in, a guest of
 * the boat's network, or nobody. Knows cookies and headers; who is who the desk knows.
 */
import type { FastifyRequest } from 'fastify';
import { isIP } from 'node:net';
import type { AccessDesk, SignedIn } from '../access/desk.ts';
import { higherOf, type Role } from '../roles.ts';
import { LOOPBACK_NAMES, nameIn, plainAddress } from './guards.ts';

/** How the page is guarded. */
export interface ApiAccess {
  /** Null: it could not be opened, and nobody can sign in. */
  desk: AccessDesk | null;
  /** What the screen of this computer may do without signing in; null: nothing. */
  loopbackRole: Role | null;
  /** The network may look without signing in. */
  isGuestOpen: boolean;
  /** Whether it listens on more than this computer. */
  isOnNetwork: boolean;
}

/** Where nothing is said of access: this computer may do all, the network nothing. */
export const LOCAL_ONLY: ApiAccess = {
  desk: null,
  loopbackRole: 'technician',
  isGuestOpen: false,
  isOnNetwork: false,
};

export interface Visitor {
  role: Role | null;
  signedIn: SignedIn | null;
  token: string | null;
  /** A program that showed its token: it looks on where route-roles.ts lets programs. */
  program: string | null;
  isLocal: boolean;
  isFresh: boolean;
  /** Nobody is registered, and only the set-up is open to the network. */
  mustSetUp: boolean;
  address: string;
  /** The browser reached us by TLS, here or at a proxy of this computer. */
  isSecure: boolean;
}

/** Browsers take a cookie of this name only over TLS, for this host alone. */
const SECURE_COOKIE = '__Host-panelward';
const PLAIN_COOKIE = 'panelward';
const TOKEN = /^[A-Za-z0-9_-]{43}$/;

export function cookieNameFor(isSecure: boolean): string {
  return isSecure ? SECURE_COOKIE : PLAIN_COOKIE;
}

/** Works out who sent this. Never throws. */
export function visitorOf(request: FastifyRequest, access: ApiAccess): Visitor {
  const { desk, loopbackRole, isGuestOpen } = access;
  const peer = plainAddress(request.raw.socket.remoteAddress) ?? '';
  const isLoopback = isLoopbackAddress(peer);
  const isLocal = isLoopback && !isForwarded(request) && isByLoopbackName(request);
  const isSecure = isByTls(request) || (isLoopback && proxySpeaksTls(request));
  const given = request.cookies[cookieNameFor(isSecure)];
  const token = given !== undefined && TOKEN.test(given) ? given : null;
  // The live stream looks on; whoever only looks on is idle.
  const isUse = request.routeOptions.url !== '/api/v1/live';
  const signedIn = token === null || desk === null ? null : desk.find(token, isUse);
  const mustSetUp = desk?.mustSetUp ?? false;
  const open = isLocal ? loopbackRole : isGuestOpen && !mustSetUp ? 'guest' : null;
  return {
    role: higherOf(signedIn?.role ?? null, open),
    signedIn,
    token,
    program: desk === null ? null : programOf(request, desk),
    isLocal,
    // Who stands at the screen that was given the role of technician has nothing to prove.
    isFresh:
      (isLocal && loopbackRole === 'technician') ||
      (signedIn !== null && desk !== null && desk.isFresh(signedIn)),
    mustSetUp,
    address: isLoopback && isForwarded(request) ? forwardedFor(request) : peer,
    isSecure,
  };
}

/** RFC 6750, section 2.1. */
function programOf({ headers }: FastifyRequest, desk: AccessDesk): string | null {
  const [, token] = /^Bearer ([^ ]+)$/i.exec(headers.authorization ?? '') ?? [];
  return token === undefined ? null : desk.programs.find(token);
}

/** Asked again and again while a stream is open: whether its visitor may still look. */
export function mayStillLook(visitor: Visitor, { desk }: ApiAccess): boolean {
  if (visitor.signedIn === null || visitor.token === null || desk === null) return true;
  return desk.find(visitor.token, false) !== null;
}

function isLoopbackAddress(address: string): boolean {
  return address === '::1' || (isIP(address) === 4 && address.startsWith('127.'));
}

const PROXY_HEADERS = [
  'forwarded',
  'via',
  'x-forwarded-for',
  'x-forwarded-host',
  'x-forwarded-proto',
  'x-real-ip',
];

/** A proxy on this computer passes on what came from elsewhere. */
function isForwarded({ headers }: FastifyRequest): boolean {
  return PROXY_HEADERS.some((name) => headers[name] !== undefined);
}

/** A proxy that says nothing mostly keeps the name by which it was called. */
function isByLoopbackName({ headers }: FastifyRequest): boolean {
  const name = headers.host === undefined ? null : nameIn(headers.host);
  return name !== null && LOOPBACK_NAMES.includes(name);
}

/** The last address is the one that our proxy itself saw. */
function forwardedFor({ headers }: FastifyRequest): string {
  const listed = headers['x-forwarded-for'];
  const last = (Array.isArray(listed) ? listed.join(',') : (listed ?? '')).split(',').at(-1);
  const address = last?.trim() ?? '';
  return isIP(address) === 0 ? 'behind a proxy' : address;
}

function isByTls({ raw }: FastifyRequest): boolean {
  return 'encrypted' in raw.socket && raw.socket.encrypted === true;
}

function proxySpeaksTls({ headers }: FastifyRequest): boolean {
  return headers['x-forwarded-proto'] === 'https';
}
