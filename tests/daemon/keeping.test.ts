/** A backup made beside a store at work, and put back; nothing is replaced by what is not whole. */
import Database from 'better-sqlite3';
import {
  appendFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { makeBackup, putBack } from '../../daemon/keeping.ts';
import { eventWith, openedStore, START_MS, temporaryFolder, watchAt } from './store/fixtures.ts';

const READINGS = 500;

function work(store: ReturnType<typeof openedStore>['store'], events: number): void {
  for (let count = 0; count < events; count += 1) {
    const seq = store.lastSeq() + 1;
    store.commit({ alertEvents: [eventWith(seq)], panelEvents: [], savedWatch: watchAt(seq) });
  }
  for (let index = 0; index < READINGS; index += 1) {
    store.addReading({ pointId: 'volts', value: 12 + index / 100, atMs: START_MS + index * 1000 });
  }
  store.flush();
}

async function readingsIn(folder: string): Promise<number> {
  const { store } = openedStore(folder);
  const query = { points: ['volts'], fromMs: START_MS, toMs: START_MS + 1e6, buckets: 1 };
  const { series } = await store.history(query);
  store.close();
  return series[0]?.buckets.reduce((sum, bucket) => sum + bucket[4], 0) ?? 0;
}

const SECRET_FILES = [
  'access.db',
  'first-sign-in-code.txt',
  'secrets.yaml',
  'push-keys.json',
  'tls/authority.key',
  'tls/page.key',
];

const filesIn = (folder: string): string[] =>
  readdirSync(folder, { withFileTypes: true, recursive: true })
    .filter((each) => each.isFile())
    .map(({ parentPath, name }) => join(parentPath, name));

function backedUp(folder: string, name: string): { target: string; code: number; lines: string[] } {
  const target = join(temporaryFolder(), name);
  const lines: string[] = [];
  const code = makeBackup({ folder, target, nowMs: START_MS }, (line) => lines.push(line));
  return { target, code, lines };
}

describe.each(['may', 'may.tar'])('a backup to %s', (name) => {
  it('is made while the store works, and brings everything back', async () => {
    const { store, folder } = openedStore();
    work(store, 30);
    const { target, code, lines } = backedUp(folder, name);
    expect(lines.join()).toMatch(/files, [\d.]+ MB, read back and found whole/);
    expect(code).toBe(0);
    // The store goes on, and what comes now is not in the backup.
    work(store, 5);
    store.close();

    const other = join(temporaryFolder(), 'store');
    const said: string[] = [];
    expect(putBack({ folder: other, source: target }, (line) => said.push(line))).toBe(0);
    expect(said).toHaveLength(1);
    const again = openedStore(other).store;
    expect(again.lastSeq()).toBe(30);
    expect(again.loadWatch()).toEqual(watchAt(30));
    expect(again.alertEvents(eventWith(30).alertId)).toContainEqual(eventWith(30));
    expect(again.health().problems).toEqual([]);
    again.close();
    expect(await readingsIn(other)).toBe(READINGS);
  });

  it('keeps what it replaces', () => {
    const { store, folder } = openedStore();
    work(store, 3);
    const { target } = backedUp(folder, name);
    work(store, 4);
    store.close();
    const said: string[] = [];
    expect(putBack({ folder, source: target }, (line) => said.push(line))).toBe(0);
    expect(said.join()).toContain(join(folder, 'before-restore-1'));
    const { store: restored } = openedStore(folder);
    expect(restored.lastSeq()).toBe(3);
    restored.close();
    expect(openedStore(join(folder, 'before-restore-1')).store.lastSeq()).toBe(7);
  });

  it('holds no person, password, token or key of those that lie beside the store', () => {
    const { store, folder } = openedStore();
    work(store, 3);
    mkdirSync(join(folder, 'tls'));
    const secret = 'a secret that lies beside the store';
    for (const file of SECRET_FILES) writeFileSync(join(folder, file), secret);
    const { target, code } = backedUp(folder, name);
    store.close();
    expect(code).toBe(0);
    const files = name.endsWith('.tar') ? [target] : filesIn(target);
    expect(files.length).toBeGreaterThan(0);
    for (const file of files) {
      expect(readFileSync(file).includes(secret), file).toBe(false);
      expect(SECRET_FILES.some((each) => file.endsWith(each))).toBe(false);
    }
  });

  it('is not put back under a store that runs', () => {
    const { store, folder } = openedStore();
    work(store, 3);
    const { target } = backedUp(folder, name);
    work(store, 1);
    const said: string[] = [];
    expect(putBack({ folder, source: target }, (line) => said.push(line))).toBe(1);
    expect(said.join()).toMatch(/in use by another process/);
    expect(store.lastSeq()).toBe(4);
    expect(existsSync(join(folder, 'before-restore-1'))).toBe(false);
  });
});

describe('what is not a whole backup', () => {
  const damages: [string, (target: string) => void, RegExp][] = [
    ['changed', (target) => appendFileSync(join(target, 'alerts.db'), 'x'), /has changed since/],
    [
      'with a byte turned',
      (target) => {
        const path = join(target, 'history.db');
        const bytes = readFileSync(path);
        bytes[bytes.length - 9] = (bytes[bytes.length - 9] ?? 0) ^ 1;
        writeFileSync(path, bytes);
      },
      /has changed since/,
    ],
    [
      'without its manifest',
      (target) => writeFileSync(join(target, 'panelward-backup.json'), '{}'),
      /cannot be understood/,
    ],
    [
      'with a manifest that reaches out',
      (target) =>
        writeFileSync(
          join(target, 'panelward-backup.json'),
          JSON.stringify({ format: 1, files: { '../alerts.db': { bytes: 1, sha256: '' } } }),
        ),
      /cannot be understood/,
    ],
  ];

  it.each(damages)('%s is refused, and the store stays as it was', (_how, damage, words) => {
    const { store, folder } = openedStore();
    work(store, 3);
    const { target } = backedUp(folder, 'copy');
    store.close();
    damage(target);
    const before = readdirSync(folder).sort();
    const said: string[] = [];
    expect(putBack({ folder, source: target }, (line) => said.push(line))).toBe(1);
    expect(said.join()).toMatch(words);
    expect(readdirSync(folder).sort()).toEqual(before);
    expect(openedStore(folder).store.lastSeq()).toBe(3);
  });

  it.each([
    ['a folder of something else', (path: string) => mkdirSync(path), /is no backup/],
    ['a file of something else', (path: string) => writeFileSync(path, 'no tar'), /tar/],
    ['nothing', () => {}, /There is no/],
  ])('%s is refused', (_what, make, words) => {
    const folder = temporaryFolder();
    const source = join(folder, 'thing');
    make(source);
    const said: string[] = [];
    expect(putBack({ folder: join(folder, 'store'), source }, (line) => said.push(line))).toBe(1);
    expect(said.join()).toMatch(words);
  });
});

describe('a backup that cannot be made', () => {
  it('says so, and leaves nothing behind', () => {
    const { store, folder } = openedStore();
    work(store, 3);
    store.close();
    const full = temporaryFolder();
    writeFileSync(join(full, 'a-letter.txt'), 'Dear Ann');
    const said: string[] = [];
    const print = (line: string): void => void said.push(line);
    expect(makeBackup({ folder, target: full, nowMs: START_MS }, print)).toBe(1);
    expect(readdirSync(full)).toEqual(['a-letter.txt']);
    const nowhere = { folder: full, target: join(full, 'b'), nowMs: START_MS };
    expect(makeBackup(nowhere, print)).toBe(1);
    expect(said.join('\n')).toMatch(/is not empty[\s\S]*There is no store in/);
  });

  it('of a database that is broken is none', () => {
    const { store, folder } = openedStore();
    work(store, 200);
    store.close();
    const db = new Database(join(folder, 'alerts.db'));
    const pages = Number(db.pragma('page_count', { simple: true }));
    db.close();
    const bytes = readFileSync(join(folder, 'alerts.db'));
    bytes.fill(0x5a, 4096 * Math.floor(pages / 2), 4096 * (Math.floor(pages / 2) + 3));
    writeFileSync(join(folder, 'alerts.db'), bytes);
    const { target, code, lines } = backedUp(folder, 'copy');
    expect(code).toBe(1);
    expect(lines.join()).toMatch(/The backup could not be made: /);
    expect(existsSync(target)).toBe(false);
    expect(existsSync(`${target}.partial`)).toBe(false);
  });
});
