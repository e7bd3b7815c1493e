/**
 * A beat: the small signed document by which a boat says that she is watched. The boat writes it
 * (`daemon/heartbeat`), the watcher ashore reads it. Instants are UTC as well as the boat knows it.
 * Keys that a newer panelward adds are passed over, so that an upgrade aboard is no silence ashore.
 */
import * as z from 'zod';

const instant = z.number().finite();
const line = z.string().max(300);

export const beatSchema = z.object({
  format: z.literal(1),
  boat: z.string().min(1).max(120),
  version: z.string().max(40),
  /** Counts the starts of panelward on this record; 0 where nobody counts them. */
  boot: z.int().min(0),
  /** From 1 in every start. */
  sequence: z.int().min(1),
  sentAtMs: instant,
  /** Whether a time server vouches for `sentAtMs`. */
  clock: z.enum(['unverified', 'synchronised', 'corrected']),
  everySeconds: z.int().min(1).max(86_400),
  /** When the next one is to be expected. */
  nextByMs: instant,
  /** How long panelward has been running. */
  upSeconds: z.number().min(0),
  /** The computer: the kernel's name of this run of it, and how long it has been up; null: unknown. */
  computer: z.object({
    run: z.string().max(80).nullable(),
    upSeconds: z.number().min(0).nullable(),
  }),
  mode: z.enum(['aboard', 'away', 'under way', 'work in progress']),
  /** panelward is being stopped in an orderly way; no other beat follows. */
  isLast: z.boolean(),
  /** The state in one line for a person. */
  says: line,
  /** `none`: she has no shore inlet. */
  shore: z.enum(['present', 'absent', 'unknown', 'none']),
  /** What feeds each bus; `by` null: nothing, or not known. */
  feeds: z.array(z.object({ bus: line, by: line.nullable() })).max(40),
  batteries: z
    .array(
      z.object({
        name: line,
        stateOfCharge: z.number().min(0).max(1).nullable(),
        hoursLeft: z.object({ low: z.number(), high: z.number() }).nullable(),
      }),
    )
    .max(10),
  /** Most urgent first; `count` is of all. */
  alerts: z.object({
    count: z.int().min(0),
    first: z
      .array(
        z.object({
          priority: z.enum(['emergency alarm', 'alarm', 'warning', 'caution']),
          headline: line,
          sinceMs: instant,
        }),
      )
      .max(10),
  }),
  /** Number of the last alert event on her record. */
  lastEvent: z.int().min(0),
  /** What was raised last, newest first; `event` is the number of the event that raised it. */
  recent: z
    .array(
      z.object({
        event: z.int().min(0),
        rule: z.string().max(60),
        headline: line,
        raisedAtMs: instant,
        /** Null while it holds. */
        returnedAtMs: instant.nullable(),
      }),
    )
    .max(20),
});

export type Beat = z.output<typeof beatSchema>;

/** A beat that was let in, and when it came by the watcher's own clock. */
export interface Heard {
  beat: Beat;
  receivedAtMs: number;
  /** The latest start and number ever let in, where this beat is of a record that began anew. */
  peak?: { boot: number; sequence: number } | undefined;
  /** The newest instant of a beat with a clock that was vouched for. */
  vouchedMs?: number | undefined;
}
