/** How `alerts.db` is opened and checked, and what stands beside it. */
import { ALERTS_APPLICATION_ID, ALERTS_MIGRATIONS } from './migrations.ts';
import type { FileDescription } from './sqlite-file.ts';
import { isSoundLetterRow } from './letter-table.ts';
import { isSoundWatchRow } from './watch-row.ts';

export function alertsFile(path: string): FileDescription {
  return {
    path,
    applicationId: ALERTS_APPLICATION_ID,
    migrations: ALERTS_MIGRATIONS,
    pragmas: [
      'journal_mode = WAL',
      // An alert that was told to a person must be there after a power cut.
      'synchronous = FULL',
      // A flipped bit in the log hides every commit behind it, so we keep it short ourselves.
      'wal_autocheckpoint = 0',
      'cache_size = -2000',
      'cell_size_check = ON',
      'temp_store = MEMORY',
    ],
    checkedBytesMax: Number.MAX_SAFE_INTEGER,
    salvagedBytesMax: Number.MAX_SAFE_INTEGER,
    isSound: (table, row) => {
      if (table === 'saved_watch') return isSoundWatchRow(row);
      if (table === 'letter') return isSoundLetterRow(row);
      const { alert_json: alert, telling_json: telling, subscription_json: push } = row;
      return [alert, telling, push].every((text) => typeof text !== 'string' || isJson(text));
    },
  };
}

/** Where the second copy of the events of a record is. */
export function journalPathOf(path: string): string {
  return path.replace(/\.db$/, '.journal');
}

/** Where the second copy of what the rules remember is. */
export function watchPathOf(path: string): string {
  return path.replace(/\.db$/, '.watch');
}

/** False where the disk has made the text into something else. */
function isJson(text: string): boolean {
  try {
    JSON.parse(text);
    return true;
  } catch {
    return false;
  }
}
