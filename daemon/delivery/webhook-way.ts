/**
 * Letters to a program of one's own, as JSON by HTTPS POST. Delivered is what the receiver says it has
 * taken: a status of 2xx and the JSON body `{"ok": true}`. The page that a marina's portal answers
 * everything with, HTTP 200 included, is no delivery.
 *
 * Signed with the way's secret as a heartbeat is (`daemon/signature.ts`). `Idempotency-Key` is the same
 * whenever the same letter comes again.
 */
import type { Letter } from '../../rules/index.ts';
import { SIGNATURE_HEADER, signatureOf, TIMESTAMP_HEADER } from '../signature.ts';
import { onBoatToo, onInternet } from './addresses.ts';
import { type Answer, post, type Posting, retryAfterMs } from './posting.ts';
import { later, never, type Outcome, spoken, type Way } from './way.ts';

export interface WebhookOptions {
  id: string;
  url: string;
  secret: string;
  onBoat: boolean;
  ca?: string | undefined;
  utcNowMs: () => number;
  resolve?: Posting['resolve'];
}

/** Whoever says this says the same again. */
const FINAL = new Set([400, 401, 403, 404, 410]);

export function webhookWay(options: WebhookOptions): Way {
  const { id, url, secret, onBoat, ca, resolve } = options;
  return {
    id,
    kind: 'webhook',
    async send(letter, signal) {
      const body = JSON.stringify(bodyOf(letter));
      const timestamp = String(Math.round(options.utcNowMs()));
      const headers = {
        'content-type': 'application/json; charset=utf-8',
        'user-agent': 'panelward',
        'idempotency-key': headerText(letter.key),
        [TIMESTAMP_HEADER]: timestamp,
        [SIGNATURE_HEADER]: signatureOf(secret, timestamp, body),
      };
      const mayReach = onBoat ? onBoatToo : onInternet;
      const answer = await post(
        { url: new URL(url), headers, body, mayReach, ca, resolve },
        signal,
      );
      return 'problem' in answer ? later(answer.problem) : outcomeOf(answer);
    },
  };
}

/** What a receiver is told; the same whichever way JSON leaves the boat. */
export function bodyOf(letter: Letter): Record<string, unknown> {
  const { key, kind, contact, boat, priority, alertId, about, headline, text } = letter;
  const writtenAt = new Date(letter.writtenAtMs).toISOString();
  return { key, kind, boat, contact, priority, alertId, headline, text, about, writtenAt };
}

/** Headers hold visible ASCII only (RFC 9110 section 5.5). */
function headerText(text: string): string {
  return text.replaceAll(/[^\u0021-\u007e]/gu, (character) => encodeURIComponent(character));
}

function outcomeOf(answer: Answer): Outcome {
  const { status, body } = answer;
  const said = `it answered ${status}`;
  if (FINAL.has(status)) return never(`${said}: ${spoken(body.slice(0, 200))}`);
  if (status >= 300 && status < 400) return later(`${said}, a redirect, which is not followed`);
  if (status < 200 || status >= 300) return later(said, retryAfterMs(answer));
  if (hasTaken(body)) return { answer: `${status}, taken` };
  return later(`${said} but not {"ok": true}, so somebody else may have answered in its place`);
}

function hasTaken(body: string): boolean {
  try {
    const said: unknown = JSON.parse(body);
    return typeof said === 'object' && said !== null && 'ok' in said && said.ok === true;
  } catch {
    return false;
  }
}
