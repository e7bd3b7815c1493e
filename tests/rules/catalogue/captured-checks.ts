/** Every check that the catalogue returns, caught on its way to the ledger. */
import { readFileSync } from 'node:fs';
import { parse } from 'yaml';
import type { Check } from '../../../rules/alerts/check.ts';
import { Ledger } from '../../../rules/alerts/ledger.ts';
import { contradiction } from '../../../rules/catalogue/contradiction.ts';
import { createWatch, readBoat, rehearsalSchema, rehearse } from '../../../rules/index.ts';
import type { Boat, Contradiction } from '../../../rules/index.ts';
import { emptyPast } from '../../../rules/panel/past.ts';

export const BOATS = [
  'tests/fixtures/boats/small.yaml',
  'tests/fixtures/boats/anchorage.yaml',
  'tests/fixtures/boats/loads.yaml',
  'tests/fixtures/boats/pumps.yaml',
  'tests/fixtures/boats/split-phase.yaml',
  'simulator/boats/sable-plover.yaml',
  'simulator/boats/willow-dipper.yaml',
] as const;

const fileOf = (path: string): string =>
  readFileSync(new URL(`../../../${path}`, import.meta.url), 'utf8');

function boatAt(path: string): Boat {
  const { boat } = readBoat(fileOf(path), path);
  if (!boat) throw new Error(`the boat ${path} is not usable`);
  return boat;
}

/** Shows `see` the checks of every evaluation while `act` runs. */
function watchChecks(act: () => void, see: (checks: readonly Check[]) => void): void {
  const { prototype } = Ledger;
  const whole = Object.getOwnPropertyDescriptor(prototype, 'run');
  if (!whole) throw new Error('a ledger runs no checks');
  const run: Ledger['run'] = whole.value;
  Object.defineProperty(prototype, 'run', {
    ...whole,
    value(this: Ledger, ...given: Parameters<Ledger['run']>) {
      see(given[0]);
      return run.apply(this, given);
    },
  });
  try {
    act();
  } finally {
    Object.defineProperty(prototype, 'run', whole);
  }
}

/** The checks of a boat of which nothing has been read yet. */
export function firstChecks(path: string): readonly Check[] {
  const boat = boatAt(path);
  let found: readonly Check[] = [];
  const evaluate = (): void => void createWatch(boat).evaluate(1_700_000_000_000);
  watchChecks(evaluate, (checks) => (found = checks));
  return found;
}

/** What the rule about contradictions says while `contradictions` stand. */
export function checksOfContradictions(contradictions: Contradiction[]): Check[] {
  const boat = boatAt(BOATS[0]);
  const nowMs = 1_700_000_000_000;
  const { panel } = createWatch(boat).evaluate(nowMs);
  return contradiction({
    boat,
    panel: { ...panel, contradictions },
    past: emptyPast(),
    nowMs,
    passedMs: 0,
    mode: 'aboard',
    standing: new Set(),
  });
}

/** Shows `see` the checks of every evaluation of a rehearsal; its folder names the boat. */
export function watchRehearsal(name: string, see: (checks: readonly Check[]) => void): void {
  const folder = name.includes('/') ? name.slice(0, name.indexOf('/')) : 'small';
  const boat = boatAt(`tests/fixtures/boats/${folder}.yaml`);
  const text = fileOf(`tests/rehearsals/${name}.yaml`);
  const rehearsal = rehearsalSchema.parse(parse(text));
  watchChecks(() => void rehearse(boat, rehearsal), see);
}
