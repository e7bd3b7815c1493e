/** `panelward history info`: what is kept, how densely and how completely, as lines for a person. */
import type { Print } from './check.ts';
import type { HistoryInfo } from './store/history/history.ts';
import { StoreProblem } from './store/store.ts';
import { viewedHistory } from './store/viewed-history.ts';

/** 0 when it could be told, 1 otherwise. The daemon may run meanwhile. */
export async function tellHistory(folder: string, print: Print): Promise<number> {
  try {
    for (const line of linesOf(await viewedHistory(folder))) print(line);
    return 0;
  } catch (error) {
    if (!(error instanceof StoreProblem)) throw error;
    print(error.message);
    return 1;
  }
}

/** Instants are printed as ISO 8601 in UTC. */
export function linesOf(info: HistoryInfo): string[] {
  const when = (atMs: number): string => new Date(Math.round(atMs)).toISOString();
  const { firstMs, lastMs } = info;
  if (firstMs === null || lastMs === null) return ['There is no reading in the history yet.'];
  const days = (lastMs - firstMs) / 86_400_000;
  const facts: [string, string][] = [
    ['first reading', when(firstMs)],
    ['last reading', `${when(lastMs)} (${days.toFixed(1)} days)`],
    ['readings', `${info.readings}`],
    ['size', `${(info.bytes / 1e6).toFixed(1)} MB`],
    ['bytes per reading', info.bytesPerReading === null ? '-' : info.bytesPerReading.toFixed(2)],
    ['coverage', info.coverage === null ? '-' : `${(info.coverage * 100).toFixed(1)} %`],
    ['clips', `${info.clips}${oldestClip(info, when)}`],
  ];
  if (info.prunedBeforeMs !== null) {
    facts.push(['deleted', `${info.readingsPruned} readings before ${when(info.prunedBeforeMs)}`]);
  }
  if (info.oldRows > 0) facts.push(['still to be taken over', `${info.oldRows} readings`]);
  if (info.damagedChunks > 0) facts.push(['damaged', `${info.damagedChunks} pieces`]);
  return facts.map(([name, value]) => `${name.padEnd(24)}${value}`);
}

function oldestClip({ oldestClipMs }: HistoryInfo, when: (atMs: number) => string): string {
  return oldestClipMs === null ? '' : `, the oldest of ${when(oldestClipMs)}`;
}
