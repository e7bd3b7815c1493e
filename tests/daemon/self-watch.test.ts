/** What panelward tells its own watch of itself, and how often it asks for what costs something. */
import { expect, onTestFinished, test } from 'vitest';
import { manualClock } from '../../daemon/clock.ts';
import type { SelfWatchOptions } from '../../daemon/self-watch.ts';
import { watchItself } from '../../daemon/self-watch.ts';
import type { SelfReport } from '../../rules/index.ts';
import { letterWith } from './delivery/fixtures.ts';
import { openedStore, START_MS } from './store/fixtures.ts';

type IntakeHealth = ReturnType<SelfWatchOptions['intake']['health']>;

const INTAKE = {
  mqtt: { address: '127.0.0.1:1883', isConnected: true },
  marineData: null,
} as unknown as IntakeHealth;

function watched(own: Partial<SelfWatchOptions> = {}) {
  const { store, clock } = openedStore(undefined, manualClock(START_MS));
  const reports: SelfReport[] = [];
  const stop = watchItself({
    clock,
    store,
    station: { report: (self) => void reports.push(self) },
    intake: { health: () => INTAKE },
    power: async () => null,
    ...own,
  });
  onTestFinished(stop);
  /** Lets what was asked answer as well. */
  const goOn = async (ms: number): Promise<void> => {
    clock.advanceTo(clock.nowMs() + ms);
    await new Promise((resolve) => setImmediate(resolve));
  };
  return { store, clock, reports, stop, goOn };
}

test('reports every five seconds how record, disk, clock and links are', async () => {
  const { reports, goOn } = watched();
  await goOn(15_000);
  expect(reports.map(({ atMs }) => atMs - START_MS)).toEqual([5000, 10_000, 15_000]);
  expect(reports[0]).toMatchObject({
    record: { isWritable: true, lastError: null },
    disk: { space: expect.any(String) },
    links: { mqtt: { address: '127.0.0.1:1883', isConnected: true }, marineData: null },
  });
  // Nobody has been asked yet: left out is not known.
  for (const name of ['loopLagMs', 'letters', 'power', 'certificate']) {
    expect(reports[0]).not.toHaveProperty(name);
  }
});

test('asks for the board, the letters and the pace once a minute and says it until the next', async () => {
  let asked = 0;
  const { store, clock, reports, goOn } = watched({
    power: async () => {
      asked += 1;
      return { isUndervoltage: true, isThrottled: false };
    },
  });
  const late = letterWith('late', { dueAtMs: START_MS + 10_000 });
  const ahead = letterWith('ahead', { dueAtMs: START_MS + 3_600_000 });
  store.commit({ alertEvents: [], panelEvents: [], letters: [late, ahead] });
  await goOn(60_000);
  await goOn(5000);
  expect(asked).toBe(1);
  expect(clock.nowMs() - START_MS).toBe(65_000);
  expect(reports.at(-1)).toMatchObject({
    power: { isUndervoltage: true, isThrottled: false },
    letters: { oldestDueMs: 50_000 },
    loopLagMs: expect.any(Number),
  });
});

test('a board that tells nothing and no waiting letter are said as that', async () => {
  const { reports, goOn } = watched();
  await goOn(60_000);
  await goOn(5000);
  expect(reports.at(-1)).toMatchObject({ letters: { oldestDueMs: null } });
  expect(reports.at(-1)).not.toHaveProperty('power');
});

test('tells the days of a certificate where there is one', async () => {
  const { reports, goOn } = watched({ certificateDaysLeft: () => 12.5 });
  await goOn(5000);
  expect(reports).toMatchObject([{ certificate: { daysLeft: 12.5 } }]);
});

test('says nothing more once it is stopped', async () => {
  const { reports, stop, goOn } = watched();
  await goOn(5000);
  stop();
  await goOn(120_000);
  expect(reports).toHaveLength(1);
});
