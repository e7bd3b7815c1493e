/**
 * Letters by e-mail. Encrypted or not at all, unless to a relay of the boat's own; one recipient a way,
 * whose address was checked when the settings were read and goes to the library as an address, never
 * as text to be taken apart.
 */
import { createHash } from 'node:crypto';
import { lookup } from 'node:dns/promises';
import { isIP } from 'node:net';
import { createTransport } from 'nodemailer';
import type { Letter } from '../../rules/index.ts';
import { onlyOnBoat } from './addresses.ts';
import { later, never, type Outcome, type Refusal, spoken, type Way, wordsOf } from './way.ts';

export interface EmailOptions {
  id: string;
  server: string;
  port?: number | undefined;
  security?: 'tls' | 'starttls' | undefined;
  user?: string | undefined;
  password?: string | undefined;
  from: string;
  to: string;
  name?: string | undefined;
  allowPlain: boolean;
  /** Certificate authority in PEM, in place of those that Node trusts. */
  ca?: string | undefined;
}

/** One command of the dialogue; the whole of it has the limit of every way. */
const STEP_MS = 10_000;

export function emailWay(options: EmailOptions): Way {
  return {
    id: options.id,
    kind: 'email',
    async send(letter, signal) {
      const problem = options.allowPlain ? await whyNotPlain(options.server) : null;
      if (problem !== null) return problem;
      const transport = createTransport(transportOptions(options));
      const end = (): void => transport.close();
      signal.addEventListener('abort', end, { once: true });
      try {
        const { response } = await Promise.race([
          transport.sendMail(mailOf(options, letter)),
          aborted(signal),
        ]);
        return { answer: spoken(response) };
      } catch (error) {
        return signal.aborted ? later('the mail server did not answer in time') : refusalOf(error);
      } finally {
        signal.removeEventListener('abort', end);
        transport.close();
      }
    },
  };
}

/** Unencrypted mail must not leave the boat. */
async function whyNotPlain(server: string): Promise<Refusal | null> {
  try {
    const found = isIP(server) === 0 ? await lookup(server, { all: true }) : [{ address: server }];
    const outside = found.find(({ address }) => !onlyOnBoat(address));
    if (outside === undefined) return null;
    return later(
      `${server} is at ${outside.address}, not on the boat: \`allowPlain\` is not for it`,
    );
  } catch (error) {
    return later(wordsOf(error));
  }
}

function transportOptions(options: EmailOptions) {
  const { server, port, user, password, allowPlain, ca } = options;
  const security = options.security ?? (port === 465 ? 'tls' : 'starttls');
  return {
    host: server,
    port: port ?? (security === 'tls' ? 465 : allowPlain ? 25 : 587),
    secure: security === 'tls' && !allowPlain,
    // A server that offers none, or whose offer somebody on the way has struck out, gets nothing.
    requireTLS: !allowPlain,
    ignoreTLS: allowPlain,
    tls: { minVersion: 'TLSv1.2', ...(ca !== undefined && { ca }) } as const,
    ...(user !== undefined && { auth: { user, pass: password ?? '' } }),
    connectionTimeout: STEP_MS,
    greetingTimeout: STEP_MS,
    socketTimeout: STEP_MS,
    dnsTimeout: STEP_MS,
    disableFileAccess: true,
    disableUrlAccess: true,
  };
}

function mailOf({ from, to, name }: EmailOptions, letter: Letter) {
  const isUrgent = letter.priority === 'emergency alarm' || letter.priority === 'alarm';
  return {
    from: { name: oneLine(letter.boat), address: from },
    to: { name: name ?? '', address: to },
    envelope: { from, to: [to] },
    messageId: messageIdOf(letter, from),
    subject: oneLine(letter.headline),
    text: `${letter.headline}\n\n${letter.text}\n`,
    // RFC 3834: nobody's holiday answer is wanted.
    headers: { 'Auto-Submitted': 'auto-generated', 'X-Panelward-Key': oneLine(letter.key) },
    ...(isUrgent && { priority: 'high' as const }),
    disableFileAccess: true,
    disableUrlAccess: true,
  };
}

/** The same for the same letter: whoever gets it twice can see that. RFC 5322 section 3.6.4. */
export function messageIdOf({ boat, key }: Letter, from: string): string {
  const left = createHash('sha256').update(`${boat}\n${key}`).digest('hex').slice(0, 40);
  return `<${left}@${from.slice(from.lastIndexOf('@') + 1)}>`;
}

function oneLine(text: string): string {
  return text.replaceAll(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ').trim();
}

/**
 * RFC 5321 section 4.2.1: 4yz try again, 5yz do not. What is said before the connection is encrypted can
 * be anybody's word, a portal's say, and ends nothing.
 */
function refusalOf(error: unknown): Outcome {
  const words = `the mail server says: ${wordsOf(error)}`;
  if (!(error instanceof Error) || !('responseCode' in error)) return later(words);
  const code = Number(error.responseCode);
  const during = 'command' in error ? String(error.command) : '';
  const isItsOwnWord = /^(AUTH|MAIL|RCPT|DATA)/.test(during);
  return isItsOwnWord && code >= 500 && code < 600 ? never(words) : later(words);
}

function aborted(signal: AbortSignal): Promise<never> {
  return new Promise((_resolve, reject) => {
    signal.addEventListener('abort', () => reject(new Error('out of time')), { once: true });
  });
}
