/** The answer to "why is this dead?" on the wire; the rules own the type. */
import { z } from 'zod';
import type { WhyDead } from '../../rules/why-dead/answer.ts';
import { mirrors } from './mirror.ts';

export const whyDeadSchema = mirrors<WhyDead>()(
  z.strictObject({
    part: z.string(),
    verdict: z.enum(['broken', 'own breaker', 'reads voltage', 'not known']),
    link: z.string().nullable().describe('The first broken link; null where it is not known.'),
    suspects: z.array(z.string()).describe('Every part that may be it, where it is not known.'),
    sentence: z.string(),
    doThis: z.string().describe('Empty where there is nothing to do.'),
    also: z.array(z.string()),
    cautions: z.array(z.string()).describe('To be shown wherever `doThis` is.'),
  }),
);
