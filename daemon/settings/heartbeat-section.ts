/** `heartbeat`: where the boat says, again and again, that she is watched. */
import * as z from 'zod';
import { secretName } from './named-secrets.ts';

export const heartbeatSection = z
  .strictObject({
    /** Of `panelward watch` ashore, or any other address that complains when nothing comes. */
    url: z.url('must be an address such as https://watch.example.org/beats/heron'),
    everySeconds: z.int().min(60).max(3600).default(120),
    /** Name of the secret that the beats are signed with. */
    signingSecret: secretName,
    /** Only an answer that is signed with the same secret counts as heard. */
    proof: z.boolean().default(false),
    /** Certificate authority of a watcher with a certificate of its own, in PEM. */
    caFile: z.string().min(1).max(4096).optional(),
    /** The address is one of the boat's own network, where http will do. */
    onBoat: z.boolean().default(false),
  })
  .superRefine(({ url, onBoat }, context) => {
    const say = (message: string): void =>
      context.addIssue({ code: 'custom', path: ['url'], message });
    if (!URL.canParse(url)) return;
    const parsed = new URL(url);
    if (parsed.username !== '' || parsed.password !== '') say('must not hold a name or password');
    const isHttp = parsed.protocol === 'http:' && onBoat;
    if (parsed.protocol !== 'https:' && !isHttp) {
      say('must be https: what leaves the boat is for nobody else (http only with `onBoat: true`)');
    }
  });

export type HeartbeatSettings = z.output<typeof heartbeatSection>;
