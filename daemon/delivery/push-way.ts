/**
 * Letters to browsers that asked for them (Push API; RFC 8030, 8188, 8291, 8292). Delivered once one push
 * service has taken the message for one browser of the contact. Where a browser's address comes from
 * is up to whoever subscribes, so it is called as carefully as a webhook.
 */
import { createHash } from 'node:crypto';
import webPush from 'web-push';
import type { Letter } from '../../rules/index.ts';
import type { PushSubscriptionRow } from '../store/store.ts';
import type { MayReach } from './addresses.ts';
import { isUrgent } from './picking.ts';
import { type Answer, post, type Posting, retryAfterMs } from './posting.ts';
import type { PushKeys } from './push-keys.ts';
import { later, never, type Outcome, type Refusal, spoken, type Way, wordsOf } from './way.ts';

export interface PushOptions {
  id: string;
  /** E-mail address of whoever answers for the boat's messages. */
  subject: string;
  keys: PushKeys;
  subscriptions: () => readonly PushSubscriptionRow[];
  /** The browser is gone for good. */
  onGone: (endpoint: string) => void;
  mayReach: MayReach;
  utcNowMs: () => number;
  /** A wrong clock makes tokens that no service takes. */
  isClockTrusted: () => boolean;
  ca?: string | undefined;
  resolve?: Posting['resolve'];
}

/** Services need to take no more than 4,096 bytes encrypted (RFC 8030 section 7.2). */
export const PAYLOAD_BYTES_MAX = 3900;

export function pushWay(options: PushOptions): Way {
  return {
    id: options.id,
    kind: 'push',
    async send(letter, signal) {
      const mine = options.subscriptions().filter(({ contact }) => contact === letter.contact);
      if (mine.length === 0) {
        const whose = letter.contact === '' ? '' : ` of "${letter.contact}"`;
        return never(`no browser${whose} has asked to be told`);
      }
      const outcomes = await Promise.all(mine.map((own) => sendTo(own, letter, options, signal)));
      const taken = outcomes.filter((outcome) => 'answer' in outcome).length;
      if (taken > 0) return { answer: `taken for ${taken} of ${mine.length} browsers` };
      const refusals = outcomes.filter((outcome): outcome is Refusal => 'problem' in outcome);
      // One that may still be there is worth another try.
      return refusals.find(({ isFinal }) => !isFinal) ?? refusals[0] ?? later('nobody answered');
    },
  };
}

async function sendTo(
  subscription: PushSubscriptionRow,
  letter: Letter,
  options: PushOptions,
  signal: AbortSignal,
): Promise<Outcome> {
  const request = requestFor(subscription, letter, options);
  if ('problem' in request) return request;
  const { mayReach, ca, resolve } = options;
  const answer = await post({ ...request, mayReach, ca, resolve }, signal);
  return 'problem' in answer ? later(answer.problem) : outcomeOf(answer, subscription, options);
}

function requestFor(
  { endpoint, keys }: PushSubscriptionRow,
  letter: Letter,
  { subject, keys: own, utcNowMs }: PushOptions,
): Pick<Posting, 'url' | 'headers' | 'body'> | Refusal {
  const leftSeconds = Math.floor((letter.expiresAtMs - utcNowMs()) / 1000);
  try {
    const details = webPush.generateRequestDetails({ endpoint, keys }, payloadOf(letter), {
      vapidDetails: { subject: `mailto:${subject}`, ...own },
      TTL: Math.min(Math.max(60, leftSeconds), 28 * 86_400),
      urgency: isUrgent(letter) ? 'high' : 'normal',
      // A newer word about the same alert takes the place of one that still waits there.
      topic: topicOf(letter),
    });
    return { url: new URL(endpoint), headers: details.headers, body: details.body ?? '' };
  } catch (error) {
    return never(`the subscription of "${letter.contact}" is not usable: ${wordsOf(error)}`);
  }
}

function outcomeOf(
  answer: Answer,
  { endpoint }: PushSubscriptionRow,
  { onGone, isClockTrusted }: PushOptions,
): Outcome {
  const { status, body } = answer;
  const said = `the push service answered ${status}: ${spoken(body.slice(0, 200))}`;
  // RFC 8030 section 5: 201 is the receipt; a portal's page comes with 200.
  if (status === 201 || status === 202) return { answer: String(status) };
  if (status === 404 || status === 410) {
    onGone(endpoint);
    return never('the browser no longer wants to be told');
  }
  if (status === 400) return never(said);
  if ((status === 401 || status === 403) && isClockTrusted()) return never(said);
  return later(said, retryAfterMs(answer));
}

/** JSON for the page's service worker, at most 3,900 bytes. */
export function payloadOf(letter: Letter): string {
  const { boat, kind, headline, text, key, alertId, priority } = letter;
  const whole = { boat, kind, headline, text, key, alertId, priority };
  const spare = PAYLOAD_BYTES_MAX - bytesOf({ ...whole, text: '' });
  return JSON.stringify({ ...whole, text: clamped(text, spare) });
}

const bytesOf = (value: unknown): number => Buffer.byteLength(JSON.stringify(value));

/** Whole characters only, so that their JSON takes no more than `bytes`. */
function clamped(text: string, bytes: number): string {
  if (bytesOf(text) - 2 <= bytes) return text;
  const characters = Array.from(text);
  let [fits, fails] = [0, characters.length];
  while (fails - fits > 1) {
    const middle = Math.floor((fits + fails) / 2);
    if (bytesOf(`${characters.slice(0, middle).join('')}…`) - 2 <= bytes) fits = middle;
    else fails = middle;
  }
  return `${characters.slice(0, fits).join('')}…`;
}

/** At most 32 characters of URL-safe base64 (RFC 8030 section 5.4). */
function topicOf({ alertId, key }: Letter): string {
  return createHash('sha256')
    .update(alertId ?? key)
    .digest('base64url')
    .slice(0, 32);
}
