/** `panelward history check`: reads all that is kept and says what is damaged, as lines for a person. */
import type { Print } from './check.ts';
import { checkedRecord } from './store/integrity.ts';
import { StoreProblem } from './store/store.ts';

/** 0 when everything is as it was written, 1 otherwise. The daemon may run meanwhile. */
export function checkHistory(folder: string, print: Print): number {
  try {
    const all = checkedRecord(folder);
    for (const { what, rows, problems } of all) {
      print(`${what.padEnd(40)}${problems.length === 0 ? `sound (${rows})` : problems.join(' ')}`);
    }
    const broken = all.filter(({ problems }) => problems.length > 0).length;
    print(
      broken === 0
        ? 'All of it is as it was written.'
        : 'Restart panelward: at start it sets a broken file aside and saves what can be read. A backup has the rest.',
    );
    return broken === 0 ? 0 : 1;
  } catch (error) {
    if (!(error instanceof StoreProblem)) throw error;
    print(error.message);
    return 1;
  }
}
