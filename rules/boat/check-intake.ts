/** Where readings come in: the broker and the open marine data server. */
import { entriesOf } from './draft.ts';
import type { Checked, Path, Say } from './draft.ts';
import { nearestName, shown } from './words.ts';

const BROKER_SCHEMES = ['mqtt', 'mqtts'];

export function checkIntake(checked: Checked): void {
  checkBroker(checked);
  checkMarineData(checked);
}

function checkBroker({ draft, say }: Checked): void {
  const mqtt = draft.intake?.mqtt;
  if (mqtt === undefined) return;
  const path = ['intake', 'mqtt'];
  const { broker = 'embedded', port, username } = mqtt;
  if (broker === 'embedded') {
    if (username !== undefined) {
      say.errorAtKey(
        [...path, 'username'],
        '`username` is for an outside broker, found the embedded one',
      );
    }
    return;
  }
  const isAddress = broker.includes('://');
  if (!isAddress) {
    const hint =
      nearestName(broker, ['embedded']) === null
        ? `; write mqtt://${broker}`
        : '; nearest is "embedded"';
    say.error(
      [...path, 'broker'],
      `\`broker\` must be "embedded" or an address such as mqtt://192.0.2.10:1883, got ${shown(broker)}${hint}`,
    );
    return;
  }
  checkAddress(broker, BROKER_SCHEMES, [...path, 'broker'], say);
  if (/^\w+:\/\/[^/]*\/./.test(broker)) {
    say.error(
      [...path, 'broker'],
      `\`broker\` must end with the host or port, got ${shown(broker)}`,
    );
  }
  if (port !== undefined) {
    say.errorAtKey(
      [...path, 'port'],
      '`port` is for the embedded broker; write it into the address of an outside one',
    );
  }
}

function checkMarineData({ draft, say, keysOf }: Checked): void {
  const url = draft.intake?.marineData?.url;
  if (url !== undefined) checkAddress(url, ['ws', 'wss'], ['intake', 'marineData', 'url'], say);
  if (keysOf(['intake']).includes('marineData')) return;
  for (const [id, point] of entriesOf(draft.points)) {
    if (point.marineData === undefined) continue;
    say.errorAtKey(
      ['points', id, 'marineData'],
      `"${id}" comes as open marine data, so \`intake.marineData.url\` must be given`,
    );
  }
}

/** Scheme, host and perhaps port; never a name or password, for this file is shown and passed on. */
function checkAddress(address: string, schemes: readonly string[], path: Path, say: Say): void {
  const key = `\`${String(path.at(-1))}\``;
  const [, scheme = '', authority = ''] = /^([a-z]+):\/\/([^/?#\s]*)[^\s]*$/i.exec(address) ?? [];
  const list = schemes.map((name) => `${name}://`).join(', ');
  if (address.includes('@')) {
    // First of all, and without showing the address: problems are logged.
    say.error(
      path,
      `${key} must not hold a user name or password, for boat files are passed on; leave out what stands before the @`,
    );
  } else if (!schemes.includes(scheme.toLowerCase())) {
    say.error(path, `${key} must begin with one of ${list}, got ${shown(address)}`);
  } else if (!isHostAndPort(authority) || address.includes('#')) {
    say.error(path, `${key} must name a host and perhaps a port, got ${shown(address)}`);
  }
}

/** `broker.example:1883`, `192.0.2.10`, `[2001:db8::1]:1883` */
function isHostAndPort(authority: string): boolean {
  const found = /^(?:\[[0-9a-f:.]+\]|[a-z0-9._-]+)(?::(\d{1,5}))?$/i.exec(authority);
  return found !== null && Number(found[1] ?? 0) <= 65_535;
}
