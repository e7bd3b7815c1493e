/**
 * `ways`: how messages leave the boat. Each has an id of its own, by which contacts name it; passwords
 * and keys are named here and kept in secrets.yaml.
 */
import * as z from 'zod';
import { secretName } from './named-secrets.ts';

const id = z
  .string()
  .regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'must be small letters, digits and hyphens, at most 40');

const host = z
  .string()
  .max(253)
  .regex(/^[a-z0-9]([a-z0-9.:-]*[a-z0-9])?$/i, 'must be a host name or an address, without port');

/**
 * The HTML standard's valid e-mail address (input type=email), which has no room for line ends, commas or
 * comments: what a mail library reads generously becomes a second recipient.
 */
const MAIL_ADDRESS =
  /^[a-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?(?:\.[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?)*$/i;

const mailAddress = z
  .string()
  .max(254)
  .regex(MAIL_ADDRESS, 'must be one plain e-mail address such as wren@example.org');

// eslint-disable-next-line no-control-regex -- to refuse them
const PLAIN_LINE = /^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]*$/;

/** MQTT 3.1.1 sections 4.7.1 and 4.7.3: no wildcards; `$` is the broker's own. */
const topic = z
  .string()
  .min(1, 'must not be empty')
  .max(256)
  .regex(PLAIN_LINE, 'must not hold control characters')
  .regex(/^[^$#+][^#+]*$/, 'must be one topic, without + and #, and not begin with $');

const url = (schemes: readonly string[]) =>
  z
    .string()
    .max(2048)
    .refine(
      (text) => isUrlOf(text, schemes),
      `must be an address that begins with ${schemes[0]}//`,
    );

const caFile = z.string().min(1).max(4096).optional();

const email = z.strictObject({
  kind: z.literal('email'),
  server: host,
  port: z.int().min(1).max(65_535).optional(),
  /** `tls`: from the first byte (port 465). `starttls`: asked for before anything else (port 587). */
  security: z.enum(['tls', 'starttls']).optional(),
  user: z.string().min(1).max(254).regex(PLAIN_LINE, 'must be one line').optional(),
  passwordSecret: secretName.optional(),
  from: mailAddress,
  to: mailAddress,
  /** Name beside the address of the recipient. */
  name: z.string().max(80).regex(PLAIN_LINE, 'must be one line').optional(),
  /** Without encryption, and only to a relay on this computer or on the boat's own network. */
  allowPlain: z.boolean().default(false),
  /** Certificate authority in PEM of a server of one's own. */
  caFile,
});

const webhook = z
  .strictObject({
    kind: z.literal('webhook'),
    url: url(['https:', 'http:']),
    /** Key of the signature. */
    keySecret: secretName,
    /** The receiver is on the boat's own network: private addresses and plain http are allowed. */
    onBoat: z.boolean().default(false),
    caFile,
  })
  .refine((own) => own.onBoat || !own.url.startsWith('http:'), {
    path: ['url'],
    message: 'must begin with https:// unless `onBoat: true`',
  });

const push = z.strictObject({
  kind: z.literal('push'),
  /** Whom the push services may ask about it (RFC 8292, section 2.1). */
  subject: mailAddress,
});

/** Without `broker`, the one that the sensors publish to. */
const brokered = {
  broker: url(['mqtts:', 'mqtt:']).optional(),
  user: z.string().min(1).max(254).regex(PLAIN_LINE, 'must be one line').optional(),
  passwordSecret: secretName.optional(),
  caFile,
};

const mqtt = z.strictObject({ kind: z.literal('mqtt'), topic, ...brokered });
const sounder = z.strictObject({ kind: z.literal('sounder'), topic, ...brokered });
const marineData = z.strictObject({ kind: z.literal('marine-data'), topic, ...brokered });

export const waySchema = z.discriminatedUnion('kind', [
  email,
  webhook,
  push,
  mqtt,
  sounder,
  marineData,
]);

export const waysSection = z
  .record(id, waySchema)
  .refine((own) => Object.keys(own).length <= 50, 'must be at most 50')
  .default({});

export type WaySettings = z.output<typeof waySchema>;
export type WaysSettings = z.output<typeof waysSection>;

function isUrlOf(text: string, schemes: readonly string[]): boolean {
  if (!URL.canParse(text)) return false;
  const { protocol, username, password, hostname, hash } = new URL(text);
  return (
    schemes.includes(protocol) && `${username}${password}${hash}` === '' && hostname.length > 0
  );
}
