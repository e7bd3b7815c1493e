/**
 * Which addresses a way may call. An address that somebody typed, or that a name server gave, must not
 * make panelward knock at doors inside the boat: see OWASP's Server-Side Request Forgery Prevention
 * Cheat Sheet. Ranges are of the IANA special-purpose registries (RFC 6890) and multicast.
 */
import { BlockList, isIPv4, isIPv6 } from 'node:net';

/** Nobody's way out: this network, link-local, tests, multicast, reserved. */
const NEVER = listOf([
  '0.0.0.0/8',
  '169.254.0.0/16',
  '192.0.0.0/24',
  '192.0.2.0/24',
  '198.18.0.0/15',
  '198.51.100.0/24',
  '203.0.113.0/24',
  '224.0.0.0/4',
  '240.0.0.0/4',
  '::/128',
  'fe80::/10',
  'fec0::/10',
  'ff00::/8',
  '2001:db8::/32',
]);

/** This computer, and networks without the Internet's addresses, such as a boat's own. */
const ON_BOAT = listOf([
  '10.0.0.0/8',
  '100.64.0.0/10',
  '127.0.0.0/8',
  '172.16.0.0/12',
  '192.168.0.0/16',
  '::1/128',
  'fc00::/7',
]);

export type MayReach = (address: string) => boolean;

/** Addresses of the Internet. */
export const onInternet: MayReach = (address) => isReachable(address, false);

/** And those of the boat's own network and computer. */
export const onBoatToo: MayReach = (address) => isReachable(address, true);

/** Only those of the boat's own network and computer. */
export const onlyOnBoat: MayReach = (address) => onBoatToo(address) && !onInternet(address);

function isReachable(address: string, mayBeOnBoat: boolean): boolean {
  const plain = plainAddress(address);
  if (plain === null || holds(NEVER, plain)) return false;
  return mayBeOnBoat || !holds(ON_BOAT, plain);
}

/** IPv4 that hides in IPv6 (mapped, RFC 4291; translated, RFC 6052; 6to4, RFC 3056) as IPv4. */
function plainAddress(address: string): string | null {
  if (isIPv4(address)) return address;
  if (!isIPv6(address) || address.includes('%')) return null;
  const groups = groupsOf(address);
  const isMapped = groups.slice(0, 5).every((group) => group === 0) && groups[5] === 0xffff;
  const isTranslated = groups[0] === 0x64 && groups[1] === 0xff9b;
  if (isMapped || isTranslated) return dotted(groups[6], groups[7]);
  return groups[0] === 0x2002 ? dotted(groups[1], groups[2]) : address;
}

/** The eight groups of an IPv6 address that `isIPv6` has passed. */
function groupsOf(address: string): number[] {
  const tail = /(\d+)\.(\d+)\.(\d+)\.(\d+)$/.exec(address);
  const [a = 0, b = 0, c = 0, d = 0] = (tail?.slice(1) ?? []).map(Number);
  const text = tail
    ? `${address.slice(0, tail.index)}${(a * 256 + b).toString(16)}:${(c * 256 + d).toString(16)}`
    : address;
  const [front = '', back] = text.split('::');
  const some = numbersIn(front);
  const more = numbersIn(back ?? '');
  return [...some, ...Array.from({ length: 8 - some.length - more.length }, () => 0), ...more];
}

const numbersIn = (text: string): number[] =>
  text === '' ? [] : text.split(':').map((group) => Number.parseInt(group, 16));

function dotted(high = 0, low = 0): string {
  return [high >> 8, high & 0xff, low >> 8, low & 0xff].join('.');
}

function holds(list: BlockList, address: string): boolean {
  return list.check(address, isIPv4(address) ? 'ipv4' : 'ipv6');
}

function listOf(ranges: readonly string[]): BlockList {
  const list = new BlockList();
  for (const range of ranges) {
    const [net = '', bits] = range.split('/');
    list.addSubnet(net, Number(bits), isIPv4(net) ? 'ipv4' : 'ipv6');
  }
  return list;
}
