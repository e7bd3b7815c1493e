/**
 * Publishes to a broker: a connection of its own each time, QoS 1, done once the broker has said that it
 * has it. Letters are few; a connection that stands for weeks would only be one more thing to watch.
 */
import { connect, type IClientOptions } from 'mqtt';
import { later, type Outcome, wordsOf } from './way.ts';

/** Never rejects for what a network can do. */
export type Publish = (message: Message, signal: AbortSignal) => Promise<Outcome>;

export interface Message {
  topic: string;
  payload: string;
  /** The broker keeps it for whoever comes later. */
  isRetained: boolean;
}

export interface BrokerOptions {
  /** `mqtt://host:port` or `mqtts://host:port`; asked each time, for it may not be known at first. */
  url: () => string;
  user?: string | undefined;
  password?: string | undefined;
  /** Certificate authority in PEM, in place of those that Node trusts. */
  ca?: string | undefined;
}

const CONNECT_MS = 10_000;

export function brokerPublisher({ url, user, password, ca }: BrokerOptions): Publish {
  const options: IClientOptions = {
    clean: true,
    connectTimeout: CONNECT_MS,
    // Trying again is up to whoever publishes.
    reconnectPeriod: 0,
    ...(user !== undefined && { username: user }),
    ...(password !== undefined && { password }),
    ...(ca !== undefined && { ca }),
  };
  return async ({ topic, payload, isRetained }, signal) => {
    const client = connect(url(), options);
    const end = (): void => void client.end(true);
    signal.addEventListener('abort', end, { once: true });
    try {
      await new Promise<void>((resolve, reject) => {
        client.once('error', reject);
        client.once('close', () => reject(new Error('the broker closed the connection')));
        client.once('connect', () => {
          client.publish(topic, payload, { qos: 1, retain: isRetained }, (error) => {
            if (error) reject(error);
            else resolve();
          });
        });
      });
      return { answer: 'the broker has it' };
    } catch (error) {
      return later(signal.aborted ? 'the broker did not answer in time' : wordsOf(error));
    } finally {
      signal.removeEventListener('abort', end);
      client.on('error', () => {});
      client.end(true);
    }
  };
}
