/** `telling`: who is told of what is wrong, by which ways and when. */
import * as z from 'zod';
import { isTimeZone, MODES, PRIORITIES, TOLD, WEEKDAYS } from '../../rules/index.ts';
import type { TellingSettings } from '../../rules/index.ts';

const id = z
  .string()
  .regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'must be small letters, digits and hyphens, at most 40');

const hourAndMinute = z
  .string('must be a time of day in quotes such as "07:30"')
  .regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'must be a time of day such as "07:30"');

const quiet = z
  .strictObject({ from: hourAndMinute, to: hourAndMinute })
  .refine(({ from, to }) => from !== to, 'must begin and end at different times');

const contact = z.strictObject({
  name: z.string().trim().min(1, 'must not be empty').max(80),
  /** Told at once, or only when nobody has acknowledged for two minutes, or for five. */
  told: z.enum(TOLD).default('first'),
  ways: z.array(id).min(1, 'must name at least one way out').max(10),
  priority: z.enum(PRIORITIES).default('warning'),
  modes: z
    .array(z.enum(MODES))
    .min(1, 'must name at least one mode')
    .default(() => MODES.filter((mode) => mode !== 'work in progress')),
  quiet: quiet.optional(),
  morningLine: hourAndMinute.optional(),
  weekly: z.strictObject({ day: z.enum(WEEKDAYS), at: hourAndMinute }).optional(),
});

const contacts = z
  .record(id, contact)
  .refine((own) => Object.keys(own).length <= 50, 'must be at most 50')
  .refine(
    (own) =>
      Object.keys(own).length === 0 || Object.values(own).some(({ told }) => told === 'first'),
    'must hold one that is told first; the others are told only if nobody acknowledges',
  );

/** Of this computer, where the settings name none. */
const LOCAL_ZONE = new Intl.DateTimeFormat().resolvedOptions().timeZone;

export const tellingSection = z
  .strictObject({
    contacts: contacts.default({}),
    timeZone: z
      .string()
      .max(64)
      .refine(isTimeZone, 'must be a time zone such as Europe/Amsterdam')
      .default(LOCAL_ZONE),
  })
  .prefault({});

// What is read here is what the rules take.
type Section = z.output<typeof tellingSection>;
export const asTellingSettings = (section: Section): TellingSettings => section;
