/**
 * What persons said of selectors and main switches. A word counts where the readings leave a
 * choice; one that they contradict for longer than sensors need to speak is dropped, and said to be.
 */
import type { Conclusions, SoftEvidence } from './conclusions.ts';
import type { PanelEvent } from './panel-state.ts';
import type { Past } from './past.ts';
import type { Supply } from './supply.ts';

/** Sensors speak at different instants: what they say now may be of before the turn. */
const GRACE_MS = 10_000;

const nameOf = (part: string): string => `word ${part}`;

/** Every word as evidence, the newest first: where two contradict each other, it counts. */
export function statementEvidence(supply: Supply, past: Past): SoftEvidence[] {
  return Object.entries(past.statements)
    .sort(([, a], [, b]) => b.atMs - a.atMs)
    .flatMap(([id, { position }]): SoftEvidence[] => {
      const part = supply.numberOf.get(id);
      const choices = part === undefined ? undefined : supply.parts[part]?.choices;
      const choice = choices?.findIndex((own) => own.name === position) ?? -1;
      if (part === undefined || choice < 0) return [];
      return [{ name: nameOf(id), footing: 'statement', rules: [{ part, choices: [choice] }] }];
    });
}

/** When somebody last said where a selector or main switch stands; -Infinity: never. */
export const lastWordMs = (past: Past): number =>
  Math.max(-Infinity, ...Object.values(past.statements).map(({ atMs }) => atMs));

/** Reason behind what rests on a word, or null where the evidence is another. */
export function statementReason(supply: Supply, past: Past, name: string): string | null {
  for (const [id, { by, position }] of Object.entries(past.statements)) {
    if (nameOf(id) !== name) continue;
    const label = supply.parts[supply.numberOf.get(id) ?? -1]?.part.label ?? id;
    return `${by} said that ${label} stands on ${position}, and no reading contradicts it.`;
  }
  return null;
}

/** Drops the words that have been contradicted for long enough; says so once for each. */
export function dropRefused(
  supply: Supply,
  past: Past,
  conclusions: Conclusions,
  nowMs: number,
): PanelEvent[] {
  const events: PanelEvent[] = [];
  for (const [id, word] of Object.entries(past.statements)) {
    if (!conclusions.refused.includes(nameOf(id))) {
      const { refusedSinceMs: _, ...rest } = word;
      if (word.refusedSinceMs !== undefined) past.statements[id] = rest;
      continue;
    }
    const sinceMs = word.refusedSinceMs ?? nowMs;
    if (nowMs - sinceMs < GRACE_MS) {
      past.statements[id] = { ...word, refusedSinceMs: sinceMs };
      continue;
    }
    delete past.statements[id];
    const label = supply.parts[supply.numberOf.get(id) ?? -1]?.part.label ?? id;
    events.push({
      atMs: nowMs,
      type: 'stated',
      part: id,
      text: `The readings contradict what ${word.by} said, that ${label} stands on ${word.position}; it counts no longer.`,
    });
  }
  return events;
}
