/**
 * Prints what panelward costs on this machine: all of it, or what is named (`npm run bench --
 * history-bytes`). Not a test: nothing fails here. Ratios within one run are what counts.
 */
import { brokerFigures } from './broker.ts';
import { fullPathFigures } from './full-path.ts';
import { byteFigures } from './history-bytes.ts';
import { codecFigures } from './history-codecs.ts';
import { chartFigures } from './history-charts.ts';
import { writeFigures } from './history-writes.ts';
import { pageFigures } from './page.ts';
import { pageYearFigures } from './page-year.ts';
import { perReadingFigures } from './per-reading.ts';
import { positionFigures } from './positions.ts';

const BENCHES: Record<string, () => string[] | Promise<string[]>> = {
  'per-reading': perReadingFigures,
  positions: positionFigures,
  'history-bytes': byteFigures,
  'history-writes': writeFigures,
  'history-codecs': codecFigures,
  'history-charts': chartFigures,
  'full-path': fullPathFigures,
  broker: brokerFigures,
  page: pageFigures,
  'page-year': pageYearFigures,
};

const asked = process.argv.slice(2);
const unknown = asked.filter((name) => BENCHES[name] === undefined);
if (unknown.length > 0) {
  console.error(
    `No such bench: ${unknown.join(', ')}. There are: ${Object.keys(BENCHES).join(', ')}.`,
  );
  process.exitCode = 1;
} else {
  for (const [name, figures] of Object.entries(BENCHES)) {
    if (asked.length > 0 && !asked.includes(name)) continue;
    for (const line of await figures()) console.log(line);
  }
}
