/**
 * `sensors`: who may speak to the built-in broker from another computer, and about what; `broker`:
 * how panelward signs in at a broker that is not its own. What is secret stands in the secrets file.
 */
import * as z from 'zod';
import { secretName } from './named-secrets.ts';

const MOST_SENSORS = 200;
const MOST_TOPICS = 100;
const LONGEST_TOPIC = 256;
const MOST_LEVELS = 10;

/** What a sensor is called: its MQTT user name. */
export const SENSOR_NAME = /^[a-z0-9](?:[a-z0-9._-]{0,62}[a-z0-9])?$/i;

/** One topic; with a `/` at its end everything below it. */
const topic = z
  .string('must be a topic in text')
  .max(LONGEST_TOPIC, `must have at most ${LONGEST_TOPIC} characters`)
  // Control characters as in MQTT 3.1.1 section 1.5.3.
  .regex(
    /^[^$+#\p{Cc}/][^+#\p{Cc}]*$/u,
    'must be a topic such as panel/bow, or panel/bow/ for everything below it; no + or #, no $ or / in front',
  )
  .refine(
    (text) => text.split('/').length <= MOST_LEVELS,
    `must have at most ${MOST_LEVELS} levels`,
  );

const credential = z
  .strictObject({
    /** Name of the token among the secrets. */
    tokenSecret: secretName.optional(),
    /** SHA-256 of the token in hexadecimal, as `panelward sensor-token` prints it. */
    tokenHash: z
      .string('must be text in quotes')
      .regex(
        /^[0-9a-f]{64}$/i,
        'must be the 64 hexadecimal digits that `panelward sensor-token` prints',
      )
      .optional(),
    publish: z.array(topic).max(MOST_TOPICS).default([]),
    subscribe: z.array(topic).max(MOST_TOPICS).default([]),
  })
  .refine(
    ({ tokenSecret, tokenHash }) => (tokenSecret === undefined) !== (tokenHash === undefined),
    'must have either `tokenHash` or `tokenSecret`; `panelward sensor-token NAME` makes one',
  );

const credentials = z.record(z.string(), credential).superRefine((all, context) => {
  if (Object.keys(all).length > MOST_SENSORS) {
    context.addIssue({ code: 'custom', message: `must have at most ${MOST_SENSORS} sensors` });
  }
  const taken: { name: string; entry: string }[] = [];
  for (const [name, { publish }] of Object.entries(all)) {
    if (!SENSOR_NAME.test(name)) {
      const message = 'a sensor is called by 1 to 64 letters, digits, dots, - or _';
      context.addIssue({ code: 'custom', message, path: [name] });
    }
    for (const [at, entry] of publish.entries()) {
      const other = taken.find((one) => one.name !== name && overlap(one.entry, entry));
      if (other) {
        const message = `${other.name} already publishes ${other.entry}; a topic belongs to one sensor`;
        context.addIssue({ code: 'custom', message, path: [name, 'publish', at] });
      }
      taken.push({ name, entry });
    }
  }
});

/** Whether one topic could be meant by both. */
function overlap(one: string, other: string): boolean {
  return one === other || isBelow(one, other) || isBelow(other, one);
}

const isBelow = (inner: string, outer: string): boolean =>
  outer.endsWith('/') && inner.startsWith(outer);

export const sensorsSection = z
  .strictObject({
    /** Lets anyone who reaches the broker publish readings. Health says so for as long as it holds. */
    anonymousOnNetwork: z.boolean().default(false),
    credentials: credentials.prefault({}),
  })
  .prefault({});

export type SensorsSection = z.output<typeof sensorsSection>;

export const brokerSection = z
  .strictObject({
    user: z.string().min(1).max(256).optional(),
    /** Name of the password among the secrets. */
    passwordSecret: secretName.optional(),
    /** Certificate authority in PEM for mqtts://; the whole path of its file. */
    caFile: z
      .string()
      .max(4096)
      .startsWith('/', 'must be a whole path, with a / in front')
      .optional(),
  })
  .refine(
    ({ user, passwordSecret }) => passwordSecret === undefined || user !== undefined,
    'a password needs a `user`',
  )
  .prefault({});

export type BrokerSection = z.output<typeof brokerSection>;
