/** By which names and addresses this computer is reached on the boat's network. */
import { hostname, networkInterfaces } from 'node:os';

/** Host name first; link-local IPv6 addresses change with the interface and are left out. */
export function ownNames(): string[] {
  const addresses = Object.values(networkInterfaces())
    .flatMap((each) => each ?? [])
    .map(({ address }) => address)
    .filter((address) => !address.startsWith('fe80:'));
  const name = hostname().split('.')[0] ?? 'localhost';
  return [...new Set([`${name}.local`, name, hostname(), 'localhost', ...addresses])];
}
