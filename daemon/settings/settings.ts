/**
 * What the people of a boat decide about panelward itself, as against the boat: one section a room,
 * each with its own schema beside this file. All of it may be left out.
 */
import * as z from 'zod';
import { boatsSection, watchSection } from './boats-section.ts';
import { heartbeatSection } from './heartbeat-section.ts';
import { pageSection } from './page-section.ts';
import { brokerSection, sensorsSection } from './sensors-section.ts';
import { tellingSection } from './telling-section.ts';
import { waysSection } from './ways-section.ts';

export const settingsSchema = z.strictObject({
  page: pageSection,
  sensors: sensorsSection,
  broker: brokerSection,
  telling: tellingSection,
  ways: waysSection,
  heartbeat: heartbeatSection.exactOptional(),
  boats: boatsSection,
  watch: watchSection,
});

export type Settings = z.output<typeof settingsSchema>;

/** What holds where there is no settings file. */
export const DEFAULT_SETTINGS: Settings = settingsSchema.parse({});
