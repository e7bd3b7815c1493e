/**
 * What the embedded broker lets its clients do, as aedes asks it. The watch hears each message
 * here, before the broker serves anybody else, so that no subscriber can hold a reading back.
 *
 * A message that is not allowed is dropped, not answered with a hang-up: MQTT 3.1.1 section
 * 3.3.5.2 lets a server acknowledge what it does not pass on, and the sensor's other topics live.
 */
import type { AedesOptions, Client } from 'aedes';
import type { Clock } from '../clock.ts';
import type { BrokerGate } from './broker-gate.ts';
import type { IntakeCounters } from './intake-counters.ts';
import type { SensorMessage } from './message-intake.ts';
import { printable } from './refusals.ts';
import type { RefusalReason } from './refusals.ts';
import { createRetainedBudget } from './retained-budget.ts';
import { createTokenBucket, type TokenBucket } from './token-bucket.ts';
import { whyNotPublish, whyNotSubscribe } from './topic-policy.ts';

/** Longest time, in seconds, that a client may ask to stay silent before it counts as gone. */
const LONGEST_KEEPALIVE_SECONDS = 300;
const LONGEST_CLIENT_ID = 128;
/** Different filters of one client, as long as it stays connected. */
const MOST_SUBSCRIPTIONS = 100;
/** So many times the allowed rate may be dropped without an end. */
const FLOOD_RATIO = 5;
/** Nobody can subscribe to it: filters that begin with `$` are refused. */
const NOWHERE = '$dropped';

export type BrokerPolicy = Required<
  Pick<
    AedesOptions,
    'preConnect' | 'authenticate' | 'authorizePublish' | 'authorizeSubscribe' | 'authorizeForward'
  >
>;

/** Only an error makes aedes hang up; the code says that it was not broken bytes. */
const hangUp = (why: string): Error & { code: string } =>
  Object.assign(new Error(why), { code: 'REFUSED' });

export function createBrokerPolicy(options: {
  clock: Clock;
  counters: IntakeCounters;
  gate: BrokerGate;
  messagesPerSecond: number;
  onMessage: (message: SensorMessage) => void;
}): BrokerPolicy {
  const { clock, counters, gate, messagesPerSecond, onMessage } = options;
  const retained = createRetainedBudget();
  const buckets = new WeakMap<Client, TokenBucket>();
  /** How fast one may go on being dropped. */
  const patience = new WeakMap<Client, TokenBucket>();
  const filters = new WeakMap<Client, Set<string>>();

  const bucketOf = (
    client: Client,
    kept: WeakMap<Client, TokenBucket>,
    perSecond: number,
  ): TokenBucket => {
    const known = kept.get(client);
    if (known) return known;
    const bucket = createTokenBucket(clock, perSecond);
    kept.set(client, bucket);
    return bucket;
  };

  /** Reading what is only dropped costs the others time; so much of it ends the connection. */
  const isFlood = (client: Client, reason: RefusalReason | undefined): boolean =>
    reason === 'too many messages' &&
    !bucketOf(client, patience, messagesPerSecond * FLOOD_RATIO).take();

  const whyNot = (client: Client | null, topic: string): RefusalReason | undefined => {
    if (client && !bucketOf(client, buckets, messagesPerSecond).take()) return 'too many messages';
    return whyNotPublish(topic) ?? (client ? gate.whyNotPublish(client, topic) : undefined);
  };

  return {
    preConnect(client, packet, done) {
      // The memory store would keep a session and its queue for a client that never comes back.
      packet.clean = true;
      // 0 means "never": a client that vanished without a word would keep its place for ever.
      packet.keepalive = Math.min(
        packet.keepalive || LONGEST_KEEPALIVE_SECONDS,
        LONGEST_KEEPALIVE_SECONDS,
      );
      if (packet.clientId.length <= LONGEST_CLIENT_ID) {
        gate.knock(client, packet);
        done(null, true);
        return;
      }
      counters.refuse({ reason: 'client id too long' }, null);
      done(hangUp('client id too long'), false);
    },

    authenticate(client, _username, _password, done) {
      const returnCode = gate.turnedAway(client);
      if (returnCode === undefined) done(null, true);
      else done(Object.assign(hangUp('not let in'), { returnCode }), false);
    },

    authorizePublish(client, packet, done) {
      const { topic } = packet;
      const payload =
        typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload;
      const reason = whyNot(client, topic);
      if (client && (gate.isRogue(client) || isFlood(client, reason))) {
        counters.refuse({ reason: 'cut off', found: printable(client.id) }, topic);
        done(hangUp('cut off'));
        return;
      }
      if (reason) {
        counters.refuse({ reason }, topic);
        Object.assign(packet, { topic: NOWHERE, payload: Buffer.alloc(0), retain: false });
      } else {
        if (packet.retain && !retained.book(topic, payload.byteLength)) {
          counters.refuse({ reason: 'not retained' }, topic);
          packet.retain = false;
        }
        // What is kept must not keep everything else alive that came in the same piece.
        if (packet.retain) packet.payload = Buffer.from(payload);
        // A sensor's own retain flag asks the broker to keep the message; the message is new.
        onMessage({ topic, payload, mayBeRepeat: packet.dup, isRestored: false });
      }
      done(null);
    },

    authorizeSubscribe(client, subscription, done) {
      const { topic } = subscription;
      const mine = filters.get(client) ?? new Set<string>();
      filters.set(client, mine);
      const isOneTooMany = mine.size >= MOST_SUBSCRIPTIONS && !mine.has(topic);
      const reason = isOneTooMany
        ? 'subscription not allowed'
        : (whyNotSubscribe(topic) ?? (client ? gate.whyNotSubscribe(client, topic) : undefined));
      if (reason) counters.refuse({ reason }, topic);
      else mine.add(topic);
      done(null, reason ? null : subscription);
    },

    authorizeForward(client, packet) {
      // Writing to a full socket would make the publisher wait for this reader.
      if (!client.conn.writableNeedDrain) return packet;
      counters.refuse({ reason: 'slow subscriber' }, packet.topic);
      return null;
    },
  };
}
