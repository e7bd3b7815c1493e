/**
 * Who comes through the embedded broker's door, and what each may say and hear there. From another
 * computer a client needs name and token; from this one it needs none. A sensor is known to the
 * broker by its name, whatever client id it sends, so that nobody pushes out another by its id.
 */
import { randomBytes, timingSafeEqual } from 'node:crypto';
import type { AedesOptions, Client } from 'aedes';
import type { IntakeCounters } from './intake-counters.ts';
import { printable } from './refusals.ts';
import type { RefusalReason } from './refusals.ts';
import { hashOfToken } from './sensor-access.ts';
import type { SensorAccess, SensorRights } from './sensor-access.ts';

type ConnectPacket = Parameters<NonNullable<AedesOptions['preConnect']>>[1];

/** CONNACK return codes, MQTT 3.1.1 table 3.1. */
export const BAD_NAME_OR_PASSWORD = 4;
export const NOT_AUTHORIZED = 5;
export type TurnedAway = typeof BAD_NAME_OR_PASSWORD | typeof NOT_AUTHORIZED;

/** So many messages to topics of others, and a sensor's connection ends. */
export const MOST_TRESPASSES = 5;
/** Nobody's token: an unknown name is compared too, and takes as long as a known one. */
const NOBODYS_HASH = randomBytes(32);

export interface BrokerGate {
  /** Judges a CONNECT and gives the client the id it goes by. Its will, where not allowed, is dropped. */
  knock(client: Client, packet: ConnectPacket): void;
  /** The CONNACK return code for a client that may not come in; undefined: it may. */
  turnedAway(client: Client): TurnedAway | undefined;
  /** Why this client may not publish there; undefined: it may, as far as the gate knows. */
  whyNotPublish(client: Client, topic: string): RefusalReason | undefined;
  whyNotSubscribe(client: Client, filter: string): RefusalReason | undefined;
  /** It has tried the topics of others too often. */
  isRogue(client: Client): boolean;
}

type Standing = { rights: SensorRights } | 'local' | 'anyone';

export function createBrokerGate(options: {
  access: SensorAccess;
  counters: IntakeCounters;
  /** Address of the other end of a client's connection. */
  peerOf: (client: Client) => string;
  /** Whether such an address is this computer's own. */
  isLocal: (address: string) => boolean;
}): BrokerGate {
  const { access, counters, peerOf, isLocal } = options;
  const { credentials } = access;
  const standings = new WeakMap<Client, Standing>();
  const turnedAway = new WeakMap<Client, TurnedAway>();
  const trespasses = new WeakMap<Client, number>();

  const judge = (client: Client, { username, password }: ConnectPacket): Standing | TurnedAway => {
    if (username !== undefined && credentials.size > 0) {
      const known = credentials.get(username);
      const isRight = timingSafeEqual(
        hashOfToken(password ?? ''),
        known?.tokenHash ?? NOBODYS_HASH,
      );
      return known && isRight ? { rights: known } : BAD_NAME_OR_PASSWORD;
    }
    if (isLocal(peerOf(client))) return 'local';
    return access.isOpenToAll ? 'anyone' : NOT_AUTHORIZED;
  };

  const isAnothers = (topic: string, own: SensorRights | null): boolean =>
    [...credentials.values()].some((other) => other !== own && other.publish.has(topic));

  const whyNotPublish = (client: Client, topic: string): RefusalReason | undefined => {
    const standing = standings.get(client);
    if (standing === 'local') return undefined;
    const own = typeof standing === 'object' ? standing.rights : null;
    const isForeign = isAnothers(topic, own);
    if (isForeign) trespasses.set(client, (trespasses.get(client) ?? 0) + 1);
    const isAllowed = own === null ? standing === 'anyone' && !isForeign : own.publish.has(topic);
    return isAllowed ? undefined : 'not its topic';
  };

  return {
    knock(client, packet) {
      const judged = judge(client, packet);
      if (typeof judged === 'number') {
        const found = [packet.username, peerOf(client)]
          .flatMap((text) => text ?? [])
          .join(' from ');
        const reason = judged === NOT_AUTHORIZED ? 'no credentials' : 'wrong token';
        counters.refuse({ reason, found: printable(found, 100) }, null);
        turnedAway.set(client, judged);
        // Nothing may happen under the id that it claims.
        packet.clientId = '';
        delete packet.will;
        return;
      }
      standings.set(client, judged);
      if (typeof judged === 'object') packet.clientId = judged.rights.name;
      else if (packet.clientId !== '') packet.clientId = `${peerOf(client)}/${packet.clientId}`;
      const reason = packet.will && whyNotPublish(client, packet.will.topic);
      if (!packet.will || !reason) return;
      counters.refuse({ reason, found: 'last will' }, packet.will.topic);
      delete packet.will;
    },
    turnedAway: (client) => turnedAway.get(client),
    whyNotPublish,
    whyNotSubscribe(client, filter) {
      const standing = standings.get(client);
      if (typeof standing !== 'object') return undefined;
      const isAllowed = !/[+#]/.test(filter) && standing.rights.subscribe.has(filter);
      return isAllowed ? undefined : 'subscription not allowed';
    },
    isRogue: (client) => (trespasses.get(client) ?? 0) >= MOST_TRESPASSES,
  };
}
