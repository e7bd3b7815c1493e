/** A store in a folder of its own under the system's temporary folder, and records to put in it. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { manualClock, type ManualClock } from '../../../daemon/clock.ts';
import { openStore, type Store } from '../../../daemon/store/store.ts';
import type { Alert, AlertEvent } from '../../../rules/alerts/alert.ts';
import type { SavedWatch } from '../../../rules/watch.ts';

/** 2026-05-01 06:00 UTC. */
export const START_MS = 1_777_615_200_000;

export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-store-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

export interface OpenedStore {
  store: Store;
  clock: ManualClock;
  folder: string;
  lines: string[];
}

/** Opens a store that is closed when the test ends. */
export function openedStore(
  folder: string = temporaryFolder(),
  clock: ManualClock = manualClock(START_MS),
): OpenedStore {
  const lines: string[] = [];
  const store = openStore({ folder, clock, log: (line) => lines.push(line) });
  onTestFinished(() => store.close());
  return { store, clock, folder, lines };
}

export function alertWith(change: Partial<Alert> & { id: string }): Alert {
  return {
    rule: 'overload',
    subject: { part: 'main-a', leg: 'L1' },
    priority: 'warning',
    title: 'Main A leg L1 carries more than its rating',
    means: 'The breaker may trip.',
    doThis: 'Switch off a large load on leg L1.',
    cautions: [],
    evidence: [{ what: 'current', value: 54.2, threshold: 50, unit: 'A' }],
    confidence: 'measured',
    points: ['main-a-l1-amps'],
    phase: 'unacknowledged',
    sinceMs: START_MS,
    raisedAtMs: START_MS + 30_000,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    returnedAtMs: null,
    isHeld: false,
    symptoms: [],
    mode: 'aboard',
    ...change,
  };
}

export function eventWith(seq: number, change: Partial<AlertEvent> = {}): AlertEvent {
  const alert = change.alert ?? alertWith({ id: `overload/main-a:L1#${seq}` });
  return {
    seq,
    atMs: START_MS + seq * 1000,
    alertId: alert.id,
    type: 'raised',
    actor: 'panelward',
    alert,
    ...change,
  };
}

export function watchAt(seq: number): SavedWatch {
  return { version: 1, atMs: START_MS + seq * 1000, seq };
}
