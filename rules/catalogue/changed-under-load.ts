/**
 * A bus changed from one source to another while its loads ran: the contacts of the selector wear,
 * and motors and electronics take the jolt. Each one is counted; the lesson is told quietly. Where
 * the source itself had died there was nothing to break, and that is no fault of anybody's.
 */
import { z } from 'zod';
import type { Finding } from '../alerts/alert.ts';
import type { Check } from '../alerts/check.ts';
import type { Source } from '../boat/boat.ts';
import { byId } from '../panel/lookup.ts';
import type { BusState, PanelState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { remembering } from './catalogue-rule.ts';
import { NOT_AT_WORK } from './modes.ts';
import { amps, CAUTIONS, label, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'changed-under-load';

const busSchema = z.object({
  /** Source that it was last known to be fed by, and what flowed on its fuller leg then. */
  by: z.string(),
  knownMs: z.number(),
  knownAmps: z.number().nullable(),
  /** Least that has flowed since. */
  leastAmps: z.number().nullable(),
  /** Newest current while it was live. */
  liveAmps: z.number().nullable(),
  /** Died since: when, what had flowed, and whether its source lived on. */
  died: z
    .object({ atMs: z.number(), amps: z.number().nullable(), isSourceLive: z.boolean() })
    .nullable(),
});
type Bus = z.infer<typeof busSchema>;

const leftSchema = z.object({
  count: z.number(),
  last: z.object({ atMs: z.number(), amps: z.number(), to: z.string(), buses: z.string().array() }),
});

const memorySchema = z.object({
  buses: z.record(z.string(), busSchema),
  /** Changes away from each source under load. */
  left: z.record(z.string(), leftSchema),
});
type Memory = z.infer<typeof memorySchema>;

/** A source that dies so soon after its bus has died with it; sensors speak at different moments. */
const WITH_IT_MS = 5000;
/** What flowed when the feed was last known stands for the instant of the change so long. */
const KNOWN_LASTS_MS = 60_000;
/** Buses that follow so soon were changed by the same hand. */
const SAME_CHANGE_MS = 120_000;

/** Current of the fuller leg; null unless all are known. */
function fullerAmps(bus: BusState): number | null {
  const all = bus.legs.map((leg) => leg.amps.value);
  return all.includes(null) ? null : Math.max(...all.map((own) => own ?? 0));
}

const isSourceLive = (panel: PanelState, id: string): boolean =>
  byId(panel.sources, id)?.legs.some((leg) => leg.live === 'live') === true;

const leastOf = (one: number | null, other: number | null): number | null =>
  one === null || other === null ? (one ?? other) : Math.min(one, other);

/** What flowed at the instant at which the bus left its source; null where that is not known. */
function brokenAmps({ died, knownMs, knownAmps, leastAmps }: Bus, nowMs: number): number | null {
  if (died !== null) return died.isSourceLive ? died.amps : null;
  return nowMs - knownMs <= KNOWN_LASTS_MS ? knownAmps : leastAmps;
}

/** Takes in one bus at this instant; gives what flowed if it has just changed its source. */
function follow(
  memory: Memory,
  state: BusState,
  { panel, nowMs }: RuleContext,
): { from: string; to: string; amps: number | null } | null {
  const own = memory.buses[state.id];
  const isLive = state.legs.some((leg) => leg.live === 'live');
  const now = isLive ? fullerAmps(state) : null;
  if (isLive && state.fedBy !== null) {
    memory.buses[state.id] = {
      by: state.fedBy,
      knownMs: nowMs,
      knownAmps: now,
      leastAmps: now,
      liveAmps: now,
      died: null,
    };
    if (own === undefined || own.by === state.fedBy) return null;
    return { from: own.by, to: state.fedBy, amps: brokenAmps(own, nowMs) };
  }
  if (own === undefined) return null;
  if (isLive) {
    own.liveAmps = now ?? own.liveAmps;
    own.leastAmps = leastOf(own.leastAmps, now);
  } else if (state.legs.every((leg) => leg.live === 'dead')) {
    own.died ??= { atMs: nowMs, amps: own.liveAmps, isSourceLive: true };
    const isSoon = nowMs - own.died.atMs <= WITH_IT_MS;
    if (isSoon && !isSourceLive(panel, own.by)) own.died.isSourceLive = false;
  }
  return null;
}

function note(memory: Memory, context: RuleContext): void {
  const { boat, panel, nowMs } = context;
  for (const state of panel.buses) {
    if (state.system !== 'ac') continue;
    const change = follow(memory, state, context);
    if (change === null || (change.amps ?? 0) <= boat.limits.changedUnderLoadAmps) continue;
    const { from, to } = change;
    const before = memory.left[from];
    const isSame = before?.last.to === to && nowMs - before.last.atMs <= SAME_CHANGE_MS;
    memory.left[from] = {
      count: (before?.count ?? 0) + (isSame ? 0 : 1),
      last: {
        atMs: nowMs,
        amps: Math.max(change.amps ?? 0, isSame ? before.last.amps : 0),
        to,
        buses: isSame ? [...before.last.buses, state.id] : [state.id],
      },
    };
  }
}

function check({ boat, nowMs }: RuleContext, source: Source, memory: Memory): Check {
  const left = memory.left[source.id];
  const lastsMs = boat.limits.changedUnderLoadMinutes * 60_000;
  const isTold = left !== undefined && nowMs - left.last.atMs < lastsMs;
  return {
    rule: RULE,
    key: `${RULE}.${source.id}`,
    modes: NOT_AT_WORK,
    levels: [{ priority: 'caution', verdict: isTold ? 'raise' : 'clear', onDelayMs: 0 }],
    offDelayMs: 0,
    describe(): Finding {
      const { amps: flowed, to, buses } = left?.last ?? { amps: 0, to: '', buses: [] };
      const names = inWords([...new Set(buses)].map((id) => label(boat, id)));
      const count = left?.count ?? 0;
      return {
        rule: RULE,
        subject: { part: source.id },
        priority: 'caution',
        title: `${names} changed from ${source.label} to ${label(boat, to)} with ${amps(flowed)} flowing`,
        means: `Contacts that are turned under load burn a little each time, and motors and electronics take the jolt.${count > 1 ? ` Changes away from ${source.label} under load so far: ${count}.` : ''}`,
        doThis:
          'Next time switch heavy loads off first, turn, wait for the voltage to settle, and switch them on one by one.',
        cautions: [CAUTIONS.loadsOff],
        evidence: [
          {
            what: 'Current on the fuller leg',
            value: flowed,
            threshold: boat.limits.changedUnderLoadAmps,
            unit: 'A',
          },
        ],
        confidence: 'inferred',
        points: pointsOf(boat, source.id, ...buses),
      };
    },
  };
}

export const changedUnderLoad = remembering<Memory>({
  name: RULE,
  fresh: () => ({ buses: {}, left: {} }),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks(context, memory) {
    note(memory, context);
    return context.boat.sources
      .filter((source) => source.system === 'ac')
      .map((source) => check(context, source, memory));
  },
});
