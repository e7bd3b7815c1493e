/** `panelward history info` beside a store at work. */
import { describe, expect, it } from 'vitest';
import { tellHistory } from '../../daemon/history-info.ts';
import { openedStore, START_MS, temporaryFolder } from './store/fixtures.ts';

async function told(folder: string): Promise<{ code: number; lines: string[] }> {
  const lines: string[] = [];
  const code = await tellHistory(folder, (line) => lines.push(line));
  return { code, lines };
}

describe('panelward history info', () => {
  it('tells span, number, density and coverage while the store works', async () => {
    const { store, clock, folder } = openedStore();
    for (let second = 0; second < 7200; second += 1) {
      clock.advanceTo(START_MS + second * 1000);
      store.addReading({ pointId: 'volts', value: 12 + (second % 50) / 100, atMs: clock.nowMs() });
    }
    await store.upkeep();
    store.flush();
    const { code, lines } = await told(folder);
    const text = lines.join('\n');
    expect(text).toMatch(/^first reading +2026-05-01T06:00:00\.000Z$/m);
    expect(text).toMatch(/^last reading +2026-05-01T07:59:59\.000Z \(0\.1 days\)$/m);
    expect(text).toMatch(/^readings +7200$/m);
    expect(text).toMatch(/^bytes per reading +\d+\.\d\d$/m);
    expect(text).toMatch(/^coverage +\d+\.\d %$/m);
    expect(text).toMatch(/^clips +0$/m);
    expect(code).toBe(0);
  });

  it('says when there is nothing yet, and when there is no store', async () => {
    const { folder } = openedStore();
    expect(await told(folder)).toEqual({
      code: 0,
      lines: ['There is no reading in the history yet.'],
    });
    const { code, lines } = await told(temporaryFolder());
    expect(code).toBe(1);
    expect(lines.join()).toMatch(/There is no record in/);
  });
});
