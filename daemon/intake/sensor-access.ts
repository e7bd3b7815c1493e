/** Who may speak to the embedded broker, from settings and secrets to what the broker asks for. */
import { createHash } from 'node:crypto';
import type { Secrets } from '../settings/secrets.ts';
import type { SensorsSection } from '../settings/sensors-section.ts';
import { topicList } from './topic-list.ts';
import type { TopicList } from './topic-list.ts';

export interface SensorRights {
  name: string;
  /** SHA-256 of its token, 32 bytes. */
  tokenHash: Buffer;
  publish: TopicList;
  subscribe: TopicList;
}

export interface SensorAccess {
  /** By the sensor's name. */
  credentials: ReadonlyMap<string, SensorRights>;
  /** Whoever reaches the broker over a network may publish without a name. */
  isOpenToAll: boolean;
}

/** Nobody but this computer itself. */
export const LOCAL_ONLY: SensorAccess = { credentials: new Map(), isOpenToAll: false };

/** 128 bits in base64url, as `panelward sensor-token` makes them; a shorter one can be guessed. */
const SHORTEST_TOKEN = 22;

/** `problem` is a whole sentence; it repeats no token. */
export function readSensorAccess(
  section: SensorsSection,
  secrets: Secrets,
): SensorAccess | { problem: string } {
  const credentials = new Map<string, SensorRights>();
  for (const [name, given] of Object.entries(section.credentials)) {
    const token = given.tokenSecret === undefined ? undefined : secrets.get(given.tokenSecret);
    if (given.tokenSecret !== undefined && token === undefined) {
      return { problem: `The token of sensor ${name} is not among the secrets.` };
    }
    if (token !== undefined && token.length < SHORTEST_TOKEN) {
      return {
        problem: `The token of sensor ${name} is shorter than ${SHORTEST_TOKEN} characters, so it could be guessed; \`panelward sensor-token ${name}\` makes a good one.`,
      };
    }
    credentials.set(name, {
      name,
      tokenHash:
        token === undefined ? Buffer.from(given.tokenHash ?? '', 'hex') : hashOfToken(token),
      publish: topicList(given.publish),
      subscribe: topicList(given.subscribe),
    });
  }
  return { credentials, isOpenToAll: section.anonymousOnNetwork };
}

/** SHA-256, 32 bytes. A random token of 128 bits needs no slow hash: it cannot be guessed. */
export function hashOfToken(token: string | Uint8Array): Buffer {
  return createHash('sha256').update(token).digest();
}

/** Whether an address (of a peer, or to listen on) is of this computer only. */
export function isLoopback(address: string): boolean {
  const bare = address.replace(/^\[|\]$/g, '').replace(/^::ffff:/i, '');
  return bare === 'localhost' || bare === '::1' || /^127(?:\.\d{1,3}){3}$/.test(bare);
}
