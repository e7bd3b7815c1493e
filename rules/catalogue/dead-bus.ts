/**
 * A bus that was fed reads no voltage although its source does not read dead: something aboard is
 * open or tripped between the two. Where the source's own sensor is silent, it says so instead of
 * guessing at which side of the inlet the fault lies.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat, PartId } from '../boat/boat.ts';
import type { BusState, LegState, PanelState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { NOT_AT_WORK, ONLY_AWAY } from './modes.ts';
import { CAUTIONS, label, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'dead-bus';

/** Legs of the bus that are dead though the same leg of its last source is not. */
function deadLegs({ panel, past }: RuleContext, bus: BusState): LegState[] {
  const source = panel.sources.find((own) => own.id === past.feeds[bus.id]?.by);
  if (!source) return [];
  return bus.legs.filter(({ leg, live }) => {
    const upstream = source.legs.find((own) => own.leg === leg);
    return live === 'dead' && upstream !== undefined && upstream.live !== 'dead';
  });
}

function verdict(context: RuleContext, bus: BusState): Verdict {
  if (deadLegs(context, bus).length > 0) return 'raise';
  return bus.legs.some((leg) => leg.live === 'unknown') ? 'unknown' : 'clear';
}

/** Labels of what may be open between a bus and its source, with position where it is known. */
function linksAbove(boat: Boat, panel: PanelState, bus: BusState, source: PartId): string[] {
  const links: string[] = [];
  let at: PartId | undefined = bus.from;
  while (at !== undefined && at !== source) {
    const id: PartId = at;
    const part = boat.parts.get(id);
    if (part?.part === 'main switch') {
      const state = panel.mainSwitches.find((own) => own.id === id);
      const known =
        state === undefined || state.position === 'unknown' ? '' : ` (${state.position})`;
      links.unshift(`${part.label}${known}`);
      at = part.from;
    } else if (part?.part === 'selector') {
      const state = panel.selectors.find((own) => own.id === id);
      links.unshift(`${part.label}${state?.position ? ` (on ${state.position})` : ''}`);
      const last = panel.selectors.find((own) => own.id === id)?.lastPosition ?? state?.position;
      at = (last ? part.positions.get(last) : undefined) ?? undefined;
    } else {
      at = part?.part === 'bus' ? part.from : undefined;
    }
  }
  return links;
}

function check(context: RuleContext, bus: BusState): Check {
  const { boat, panel, past } = context;
  const now = verdict(context, bus);
  const onDelayMs = boat.limits.busDeadSeconds * 1000;
  return {
    rule: RULE,
    key: `${RULE}.${bus.id}`,
    levels: [
      // With nobody aboard it stays dead: what it means for food and bank is that of a lost shore.
      { priority: 'alarm', verdict: now, onDelayMs, modes: ONLY_AWAY },
      { priority: 'warning', verdict: now, onDelayMs, modes: NOT_AT_WORK },
    ],
    offDelayMs: boat.limits.shoreLostSeconds * 1000,
    describe(priority) {
      const sourceId = past.feeds[bus.id]?.by ?? '';
      const source = label(boat, sourceId);
      const dead = deadLegs(context, bus);
      const legs =
        dead.length < bus.legs.length ? ` leg ${inWords(dead.map((own) => own.leg))}` : '';
      const upstream = panel.sources.find((own) => own.id === sourceId);
      const isSourceLive = dead.every(({ leg }) =>
        upstream?.legs.some((own) => own.leg === leg && own.live === 'live'),
      );
      const links = linksAbove(boat, panel, bus, sourceId);
      const between = links.length > 0 ? inWords(links, 'or') : 'a switch or breaker';
      return {
        rule: RULE,
        subject: { part: bus.id },
        priority,
        title: isSourceLive
          ? `${bus.label}${legs} reads no voltage although ${source} is live`
          : `${bus.label}${legs} reads no voltage, and whether ${source} is live is not known`,
        means: isSourceLive
          ? `Something aboard between ${source} and ${bus.label} is open or has tripped: ${between}.`
          : `Either ${source} has failed, or something aboard is open or has tripped: ${between}.`,
        doThis:
          'If nobody switched it off on purpose, find what has tripped and why before you switch it on again, heavy loads off first.',
        cautions: [CAUTIONS.neverProvesDead, CAUTIONS.loadsOff, CAUTIONS.electrician],
        evidence: bus.legs.map((leg) => ({
          what: bus.legs.length > 1 ? `Voltage on leg ${leg.leg}` : 'Voltage',
          value: leg.volts.value,
          threshold: (boat.ac?.volts ?? 0) * boat.limits.deadRatio,
          unit: 'V',
        })),
        confidence: dead.every((leg) => leg.volts.evidence === 'measured')
          ? 'measured'
          : 'inferred',
        points: pointsOf(boat, bus.id, sourceId),
      };
    },
  };
}

export const deadBus: Rule = (context) =>
  context.panel.buses.filter((bus) => bus.system === 'ac').map((bus) => check(context, bus));
