/** Tells the watch, every few seconds, what panelward knows of its own health. */
import type { SelfReport } from '../rules/index.ts';
import type { Clock } from './clock.ts';
import type { Intake } from './intake/intake.ts';
import { boardPower } from './service/board-power.ts';
import type { BoardPower } from './service/board-power.ts';
import { measureLoopLag } from './service/loop-lag.ts';
import type { Station } from './station.ts';
import type { Store } from './store/store.ts';

const REPORT_EVERY_MS = 5000;
/** What costs a question to another program or to the disk. */
const ASK_EVERY_MS = 60_000;

export interface SelfWatchOptions {
  clock: Clock;
  station: Pick<Station, 'report'>;
  store: Pick<Store, 'health' | 'boots' | 'waitingLetters'>;
  intake: Pick<Intake, 'health'>;
  /** Days for which the page's certificate is valid yet; null where it has none. */
  certificateDaysLeft?: () => number | null;
  /** Wrong passwords within the last hour; null where nobody can sign in. */
  failedSignIns?: () => number | null;
  power?: () => Promise<BoardPower | null>;
}

/** Reports until the returned function is called. */
export function watchItself(options: SelfWatchOptions): () => void {
  const { clock, station, power = boardPower } = options;
  const lag = measureLoopLag();
  let slow: Pick<SelfReport, 'loopLagMs' | 'letters' | 'power'> = {};
  const ask = async (): Promise<void> => {
    const board = await power();
    const { p99Ms } = lag.take();
    slow = { loopLagMs: p99Ms, letters: lettersOf(options), ...(board && { power: board }) };
  };
  const stopAsking = clock.every(ASK_EVERY_MS, () => void ask());
  const stopReporting = clock.every(REPORT_EVERY_MS, () => {
    station.report({ ...quickReport(options), ...slow });
  });
  return () => {
    stopAsking();
    stopReporting();
    lag.stop();
  };
}

function quickReport(options: SelfWatchOptions): SelfReport {
  const { clock, store, intake, certificateDaysLeft, failedSignIns } = options;
  const { isWritable, lastError, space, freeBytes } = store.health();
  const { mqtt, marineData } = intake.health();
  const daysLeft = certificateDaysLeft?.() ?? null;
  const failedInHour = failedSignIns?.() ?? null;
  return {
    atMs: clock.nowMs(),
    record: { isWritable, lastError },
    disk: { space, freeBytes },
    clock: { isSynchronised: store.boots().at(-1)?.quality !== 'unverified' },
    links: {
      mqtt: { address: mqtt.address, isConnected: mqtt.isConnected },
      marineData: marineData && { address: marineData.url, isConnected: marineData.isConnected },
    },
    ...(daysLeft !== null && { certificate: { daysLeft } }),
    ...(failedInHour !== null && { signIns: { failedInHour } }),
  };
}

function lettersOf({ store, clock }: SelfWatchOptions): { oldestDueMs: number | null } {
  const nowMs = clock.nowMs();
  const dueMs = store
    .waitingLetters()
    .map(({ letter }) => nowMs - letter.dueAtMs)
    .filter((ms) => ms > 0);
  return { oldestDueMs: dueMs.length === 0 ? null : Math.max(...dueMs) };
}
