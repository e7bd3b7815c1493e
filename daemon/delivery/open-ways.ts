/**
 * Ways out from the settings and the secrets that they name. Everything that can be wrong before
 * anything is sent comes back as lines for a person, all at once.
 */
import { readFileSync } from 'node:fs';
import { X509Certificate } from 'node:crypto';
import type { Secrets } from '../settings/secrets.ts';
import type { WaySettings, WaysSettings } from '../settings/ways-section.ts';
import type { PushSubscriptionRow } from '../store/store.ts';
import { type MayReach, onInternet } from './addresses.ts';
import { emailWay } from './email-way.ts';
import { brokerPublisher, type Publish } from './mqtt-publisher.ts';
import { mqttWay } from './mqtt-way.ts';
import { openPushKeys, type PushKeys } from './push-keys.ts';
import { pushWay } from './push-way.ts';
import { type Way, wordsOf } from './way.ts';
import { webhookWay } from './webhook-way.ts';

export interface WaysNeed {
  ways: WaysSettings;
  secrets: Secrets;
  /** Where the push keys are kept. */
  dataFolder: string;
  /** Broker of the sensors, `mqtt://host:port`. */
  brokerUrl: () => string;
  utcNowMs: () => number;
  isClockTrusted: () => boolean;
  subscriptions: () => readonly PushSubscriptionRow[];
  onGone: (endpoint: string) => void;
  /** Of push services; the Internet. A test calls this computer. */
  mayPushReach?: MayReach;
  /** Certificate authority of push services, in a test. */
  pushCa?: string;
}

/** Publishes what stands, rather than letters: a sounder, or notifications of open marine data. */
export interface StateWay {
  id: string;
  kind: 'sounder' | 'marine-data';
  topic: string;
  publish: Publish;
}

export interface OpenWays {
  /** For letters. */
  ways: Way[];
  stateWays: StateWay[];
  /** Null where no way is by push. */
  pushKeys: PushKeys | null;
}

/** Never throws for what stands in a file. */
export function openWays(need: WaysNeed): OpenWays | { problems: string[] } {
  const problems: string[] = [];
  const opened: OpenWays = { ways: [], stateWays: [], pushKeys: null };
  for (const [id, way] of Object.entries(need.ways)) {
    const complain = (what: string): void => void problems.push(`\`ways.${id}\`: ${what}`);
    open(id, way, { need, opened, complain });
  }
  return problems.length === 0 ? opened : { problems };
}

interface Opening {
  need: WaysNeed;
  opened: OpenWays;
  complain: (what: string) => void;
}

function open(id: string, way: WaySettings, opening: Opening): void {
  const { need, opened } = opening;
  const ca = 'caFile' in way ? authorityIn(way.caFile, opening) : undefined;
  switch (way.kind) {
    case 'email': {
      const password = secret(way.passwordSecret, opening);
      opened.ways.push(emailWay({ ...way, id, password, ca }));
      return;
    }
    case 'webhook': {
      const { url, onBoat } = way;
      const key = secret(way.keySecret, opening) ?? '';
      opened.ways.push(webhookWay({ id, url, onBoat, secret: key, ca, utcNowMs: need.utcNowMs }));
      return;
    }
    case 'push': {
      const keys = (opened.pushKeys ??= keysFor(opening));
      if (keys === null) return;
      const { subject } = way;
      const mayReach = need.mayPushReach ?? onInternet;
      opened.ways.push(pushWay({ ...need, id, subject, keys, mayReach, ca: need.pushCa }));
      return;
    }
    case 'mqtt':
      opened.ways.push(mqttWay(id, way.topic, publisherOf(way, ca, opening)));
      return;
    case 'sounder':
    case 'marine-data': {
      const { kind, topic } = way;
      opened.stateWays.push({ id, kind, topic, publish: publisherOf(way, ca, opening) });
    }
  }
}

function keysFor({ need, complain }: Opening): PushKeys | null {
  const keys = openPushKeys(need.dataFolder);
  if (!('problem' in keys)) return keys;
  complain(keys.problem);
  return null;
}

function publisherOf(
  way: Extract<WaySettings, { broker?: unknown }>,
  ca: string | undefined,
  opening: Opening,
): Publish {
  const { broker, user } = way;
  const password = secret(way.passwordSecret, opening);
  return brokerPublisher({ url: () => broker ?? opening.need.brokerUrl(), user, password, ca });
}

function secret(name: string | undefined, { need, complain }: Opening): string | undefined {
  if (name === undefined) return undefined;
  const found = need.secrets.get(name);
  if (found === undefined) complain(`secrets.yaml has no \`${name}\`; write it there`);
  return found;
}

function authorityIn(path: string | undefined, { complain }: Opening): string | undefined {
  if (path === undefined) return undefined;
  try {
    const text = readFileSync(path, 'utf8');
    assertCertificate(text);
    return text;
  } catch (error) {
    complain(`caFile ${path} is no certificate in PEM: ${wordsOf(error)}`);
    return undefined;
  }
}

/** Throws unless the first thing in it is a certificate. */
function assertCertificate(text: string): X509Certificate {
  return new X509Certificate(text);
}
