/** Browsers that want to be told, read beside a daemon that may have the record open. */
import Database from 'better-sqlite3';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { LetterTable } from './letter-table.ts';
import type { PushSubscriptionRow } from './letters.ts';
import { isOperatingError } from './store-problem.ts';

/** None where there is no record, or none that can be read. */
export function subscriptionsIn(folder: string): PushSubscriptionRow[] {
  const path = join(folder, 'alerts.db');
  if (!existsSync(path)) return [];
  let db: Database.Database | null = null;
  try {
    db = new Database(path, { readonly: true, timeout: 2000 });
    return new LetterTable(db).push();
  } catch (error) {
    if (!isOperatingError(error)) throw error;
    return [];
  } finally {
    db?.close();
  }
}
