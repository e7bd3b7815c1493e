/**
 * The extension of a certificate authority that says for which names and addresses it may vouch
 * (RFC 5280, 4.2.1.10). A phone that trusts the boat's authority trusts it for the boat alone: with
 * its stolen key nobody can pretend to be a bank.
 */
import { isIP } from 'node:net';

/** DER: a tag, a length, and what it holds. */
function der(tag: number, ...parts: Uint8Array[]): Buffer {
  const content = Buffer.concat(parts);
  const { length } = content;
  const lengthBytes =
    length < 128 ? [length] : length < 256 ? [0x81, length] : [0x82, length >> 8, length & 0xff];
  return Buffer.concat([Buffer.from([tag, ...lengthBytes]), content]);
}

const SEQUENCE = 0x30;
/** [0] permittedSubtrees; the choices of GeneralName: [2] dNSName, [7] iPAddress. */
const PERMITTED = 0xa0;
const DNS_NAME = 0x82;
const IP_ADDRESS = 0x87;

/** Private and link-local networks (RFC 1918, 3927, 4193, 4291) and this computer itself. */
const PRIVATE_NETWORKS: readonly (readonly [string, number])[] = [
  ['127.0.0.0', 8],
  ['10.0.0.0', 8],
  ['172.16.0.0', 12],
  ['192.168.0.0', 16],
  ['169.254.0.0', 16],
  ['::1', 128],
  ['fc00::', 7],
  ['fe80::', 10],
];

/** OpenSSL and phones alike take a name to permit itself and all below it. */
const LOCAL_NAMES = ['localhost', 'local', 'home.arpa', 'internal', 'lan'];

/** The DER of the extension's value for these names besides those of any boat's own network. */
export function nameConstraintsOf(names: readonly string[]): Buffer {
  const hosts = names.filter((name) => isIP(name) === 0);
  const addresses = names.filter((name) => isIP(name) !== 0);
  const permitted = [...new Set([...LOCAL_NAMES, ...hosts])].map((name) =>
    der(SEQUENCE, der(DNS_NAME, Buffer.from(name, 'ascii'))),
  );
  const networks = [
    ...PRIVATE_NETWORKS,
    ...addresses.map((address) => [address, isIP(address) === 4 ? 32 : 128] as const),
  ].map(([address, bits]) =>
    der(SEQUENCE, der(IP_ADDRESS, Buffer.concat([bytesOf(address), maskOf(address, bits)]))),
  );
  return der(SEQUENCE, der(PERMITTED, ...permitted, ...networks));
}

/** Whether an authority with the constraints of `names` may vouch for `name`. */
export function isPermitted(name: string, names: readonly string[]): boolean {
  if (isIP(name) !== 0) {
    return (
      names.includes(name) ||
      PRIVATE_NETWORKS.some(([network, bits]) => isWithin(name, network, bits))
    );
  }
  return [...LOCAL_NAMES, ...names].some((own) => name === own || name.endsWith(`.${own}`));
}

function isWithin(address: string, network: string, bits: number): boolean {
  const [own, other] = [bytesOf(address), bytesOf(network)];
  const mask = maskOf(network, bits);
  if (own.length !== other.length) return false;
  return mask.every((part, at) => ((own[at] ?? 0) & part) === ((other[at] ?? 0) & part));
}

function maskOf(address: string, bits: number): Buffer {
  const length = isIP(address) === 4 ? 4 : 16;
  return Buffer.from(
    Array.from({ length }, (_, at) => 0xff & ~(0xff >> Math.min(8, Math.max(0, bits - 8 * at)))),
  );
}

function bytesOf(address: string): Buffer {
  if (isIP(address) === 4) return Buffer.from(address.split('.').map(Number));
  const [head = '', tail = ''] = address.split('::');
  const groups = (text: string): number[] =>
    text === '' ? [] : text.split(':').map((group) => Number.parseInt(group, 16));
  const [left, right] = [groups(head), groups(tail)];
  const zeros = Array<number>(Math.max(0, 8 - left.length - right.length)).fill(0);
  return Buffer.from([...left, ...zeros, ...right].flatMap((group) => [group >> 8, group & 0xff]));
}
