/** Whether the ways that contacts name exist. */
import { nearestHint } from '../boat/words.ts';
import type { TellingSettings } from './telling-settings.ts';

/** One line for each way of a contact that is not among `ways`, with the nearest that is. */
export function unknownWays(
  { contacts }: Pick<TellingSettings, 'contacts'>,
  ways: readonly string[],
): string[] {
  return Object.entries(contacts).flatMap(([id, contact]) =>
    contact.ways
      .filter((way) => !ways.includes(way))
      .map(
        (way) =>
          `\`telling.contacts.${id}.ways\`: no way out is called ${JSON.stringify(way)}${nearestHint(way, ways, 'way out')}`,
      ),
  );
}
