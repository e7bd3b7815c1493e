/** `boats` and `watch`: what `panelward watch` ashore listens for. Aboard they are not used. */
import * as z from 'zod';
import { secretName } from './named-secrets.ts';

const instant = z.iso
  .datetime({
    offset: true,
    error:
      'must be a date and time with its zone: 2026-11-01T00:00:00Z or 2026-11-01T00:00:00+01:00',
  })
  .transform((text) => Date.parse(text));

const offlineSpan = z
  .strictObject({ from: instant, to: instant })
  .refine(({ from, to }) => from < to, { path: ['to'], message: 'must be after `from`' });

const boat = z.strictObject({
  name: z.string().trim().min(1).max(60),
  /** Name of the secret that her beats are signed with. */
  signingSecret: secretName,
  everySeconds: z.int().min(60).max(3600).default(120),
  /** So many intervals without a beat and she is overdue. */
  overdueBeats: z.int().min(2).max(100).default(3),
  /** Spans in which nobody expects to hear from her: laid up, refitting. */
  expectedOffline: z.array(offlineSpan).max(100).default([]),
});

export const boatsSection = z
  .record(
    z.string().regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'must be small letters, digits and -'),
    boat,
  )
  .prefault({});

export type WatchedBoat = z.output<typeof boat>;

export const watchSection = z
  .strictObject({
    /** Name of the secret that shows the list of boats to others than this computer. */
    passwordSecret: secretName.exactOptional(),
    /** Files in PEM, to be offered on https without another program in front. */
    certificate: z.string().min(1).exactOptional(),
    key: z.string().min(1).exactOptional(),
  })
  .refine(({ certificate, key }) => (certificate === undefined) === (key === undefined), {
    message: 'needs `certificate` and `key`, or neither',
  })
  .prefault({});

export type WatchSettings = z.output<typeof watchSection>;
