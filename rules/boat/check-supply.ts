/** The way from the sources to the buses: no loops, no AC from DC, and something at both ends. */
import { entriesOf } from './draft.ts';
import type { Checked, Path } from './draft.ts';
import { NOTHING } from './file-panel.ts';
import { loopsAmong, loopWords } from './loops.ts';
import type { SupplyView } from './supply-view.ts';
import { isDcSource } from './supply-view.ts';

export function checkSupply(checked: Checked, supply: SupplyView): void {
  checkSystemGiven(checked);
  checkLoops(checked, supply);
  checkMixedSelectors(checked, supply);
  checkPositions(checked);
  checkUnused(checked, supply);
}

/** A part of a system that the file does not describe has no nominal voltage. */
function checkSystemGiven({ draft, say, keysOf }: Checked): void {
  if (draft.system === undefined) return;
  const given = keysOf(['system']);
  const needs = (path: Path, id: string, system: 'ac' | 'dc', what: string): void => {
    if (!given.includes(system)) {
      say.errorAtKey(path, `"${id}" is ${what}, so \`system.${system}\` must be given`);
    }
  };
  for (const [id, source] of entriesOf(draft.sources)) {
    if (source.kind === undefined) continue;
    if (isDcSource(source)) needs(['sources', id], id, 'dc', 'a DC source');
    else needs(['sources', id], id, 'ac', 'an AC source');
  }
  for (const id of Object.keys(draft.batteries ?? {}))
    needs(['batteries', id], id, 'dc', 'a battery');
}

function checkLoops({ say }: Checked, supply: SupplyView): void {
  const upstreamOf = (id: string): string[] =>
    supply.feedsOf(id).flatMap(({ from }) => (from ? [from] : []));
  for (const loop of loopsAmong(supply.fed, upstreamOf)) {
    const [first, second] = loop;
    if (first === undefined) continue;
    const feed = supply.feedsOf(first).find(({ from }) => from === (second ?? first));
    if (feed === undefined) continue;
    say.error(feed.path, `the supply must not feed itself, found the loop ${loopWords(loop)}`);
  }
}

function checkMixedSelectors({ draft, say }: Checked, supply: SupplyView): void {
  for (const [id] of entriesOf(draft.selectors)) {
    if (supply.systemOf(id) !== 'mixed') continue;
    const feeds = supply.feedsOf(id).flatMap(({ from, path }) => (from ? [{ from, path }] : []));
    // Behind a mixed selector everything is mixed: say it where AC and DC meet.
    if (feeds.some(({ from }) => supply.systemOf(from) === 'mixed')) continue;
    const first = feeds[0];
    const other = feeds.find(
      ({ from }) => supply.systemOf(from) !== supply.systemOf(first?.from ?? ''),
    );
    if (first === undefined || other === undefined) continue;
    const word = (from: string): string => String(supply.systemOf(from)).toUpperCase();
    say.error(
      other.path,
      `a selector must switch either AC or DC, found "${first.from}" (${word(first.from)}) and "${other.from}" (${word(other.from)})`,
    );
  }
}

function checkPositions({ draft, say, keysOf }: Checked): void {
  for (const [id, { positions }] of entriesOf(draft.selectors)) {
    if (positions === undefined) continue;
    const path = ['selectors', id, 'positions'];
    const names = keysOf(path);
    if (names.length < 2) {
      say.errorAtKey(path, `a selector must have at least two positions, got ${names.length}`);
    } else if (names.every((name) => positions[name] === NOTHING)) {
      say.errorAtKey(path, 'at least one position must feed something, found only "nothing"');
    }
    const byWord = new Map<string, string>();
    for (const name of names) {
      const same = byWord.get(name.toLowerCase());
      if (same !== undefined) {
        say.errorAtKey([...path, name], `\`${name}\` and \`${same}\` differ only in capitals`);
      }
      byWord.set(name.toLowerCase(), name);
    }
  }
}

/** What leads nowhere is no fault, but most often something was forgotten. */
function checkUnused({ draft, parts, say }: Checked, supply: SupplyView): void {
  const feeds = supply.fed.flatMap((id) => supply.feedsOf(id).map(({ from }) => from));
  // A feed that is misspelt or missing would be one of those that seem to lead nowhere.
  const isWhole = feeds.every((from) => from === null || (from !== undefined && parts.has(from)));
  if (isWhole) sayUnused({ draft, say }, new Set(feeds));
  const buses = new Set(entriesOf(draft.circuits).map(([, { bus }]) => bus));
  for (const [id] of entriesOf(draft.buses)) {
    if (!buses.has(id)) say.warningAtKey(['buses', id], `no circuit names "${id}" as its bus`);
  }
}

function sayUnused(
  { draft, say }: Pick<Checked, 'draft' | 'say'>,
  used: ReadonlySet<string | null | undefined>,
): void {
  const warn = (path: Path, id: string): void =>
    say.warningAtKey(path, `nothing is fed from "${id}": no selector, main switch or bus names it`);
  for (const [id, source] of entriesOf(draft.sources)) {
    const isUsed =
      id === NOTHING || used.has(id) || source.kind === undefined || isDcSource(source);
    if (!isUsed) warn(['sources', id], id);
  }
  for (const section of ['selectors', 'switches'] as const) {
    for (const [id] of entriesOf(draft[section])) if (!used.has(id)) warn([section, id], id);
  }
}
