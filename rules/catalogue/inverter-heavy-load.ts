/**
 * With the shore gone an inverter quietly goes on feeding what nobody wants to feed from a battery:
 * a water heater, or a charger that charges the very bank the inverter empties.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat, Circuit, Inverter } from '../boat/boat.ts';
import type { BatteryState, SourceState } from '../panel/panel-state.ts';
import { inWords } from '../panel/reasons.ts';
import { batteryOutlook } from './battery-words.ts';
import { NOT_UNDER_WAY } from './modes.ts';
import { amps, CAUTIONS, pointsOf } from './rule.ts';
import type { Rule, RuleContext } from './rule.ts';

const RULE = 'inverter-heavy-load';

/** Heaters above a limit, and whatever charges the inverter's own bank. */
function isUnwanted(
  boat: Boat,
  inverter: Inverter,
  circuit: Circuit,
  watts: number | null,
): boolean {
  if (circuit.charges === inverter.battery) return true;
  const heats = circuit.load === 'resistive' || circuit.load === 'charger';
  return heats && watts !== null && watts > boat.limits.inverterHeavyWatts;
}

function unwanted({ boat, panel }: RuleContext, inverter: Inverter, state: SourceState): Circuit[] {
  return boat.circuits.filter((circuit) => {
    if (!state.feeds.includes(circuit.bus)) return false;
    const own = panel.circuits.find((found) => found.id === circuit.id);
    if (own?.activity !== 'drawing') return false;
    const nominal = (own.amps.value ?? 0) * (boat.ac?.volts ?? 0) * circuit.legs.length;
    return isUnwanted(boat, inverter, circuit, own.watts.value ?? nominal);
  });
}

/** Another source that could carry it is live: shore or a generator. Null where that is not known. */
function isOtherLive({ panel }: RuleContext): boolean | null {
  const others = panel.sources.filter(
    (own) => own.kind === 'shore inlet' || own.kind === 'generator',
  );
  if (others.some((own) => own.legs.some((leg) => leg.live === 'live'))) return true;
  return others.every((own) => own.legs.every((leg) => leg.live === 'dead')) ? false : null;
}

function verdict(context: RuleContext, inverter: Inverter, state: SourceState): Verdict {
  if (state.legs.every((leg) => leg.live === 'dead')) return 'clear';
  if (isOtherLive(context) === true) return 'clear';
  if (unwanted(context, inverter, state).length === 0) {
    const fed = context.panel.circuits.filter((own) => state.feeds.includes(own.bus));
    const blind = fed.some((own) => {
      const circuit = context.boat.circuits.find((found) => found.id === own.id);
      return (
        own.activity === 'unknown' &&
        own.amps.lastValue !== undefined &&
        circuit?.load === 'resistive'
      );
    });
    return blind || !state.feedsIsKnown ? 'unknown' : 'clear';
  }
  return isOtherLive(context) === false ? 'raise' : 'unknown';
}

function check(context: RuleContext, inverter: Inverter, state: SourceState): Check {
  const { boat, panel } = context;
  const { limits } = boat;
  const now = verdict(context, inverter, state);
  const onDelayMs = limits.inverterHeavySeconds * 1000;
  return {
    rule: RULE,
    key: `${RULE}.${inverter.id}`,
    levels: [
      { priority: 'warning', verdict: now, onDelayMs, modes: NOT_UNDER_WAY },
      // Under way the engine's alternator may well carry it.
      { priority: 'caution', verdict: now, onDelayMs },
    ],
    offDelayMs: limits.inverterHeavyClearSeconds * 1000,
    describe(priority) {
      const loads = unwanted(context, inverter, state);
      const names = inWords(loads.map((own) => own.label));
      const bank: BatteryState | undefined = panel.batteries.find(
        (own) => own.id === inverter.battery,
      );
      const isLoop = loads.some((own) => own.charges === inverter.battery);
      const draws = bank?.amps.value ?? null;
      return {
        rule: RULE,
        subject: { part: inverter.id },
        priority,
        title: `${inverter.label} is feeding ${names || 'a heavy load'} from ${bank?.label ?? 'the batteries'}`,
        means: [
          isLoop
            ? 'A charger on the inverter charges the bank that it empties; every turn of it loses power.'
            : 'Neither shore nor a generator is there, and a heater empties a bank within hours.',
          draws !== null && draws < 0 ? `${bank?.label ?? 'The bank'} gives ${amps(-draws)}.` : '',
          bank ? batteryOutlook(bank) : '',
        ]
          .filter(Boolean)
          .join(' '),
        doThis: `Switch off ${names || 'the heavy load'}${placesOf(loads)}, or the inverter if nothing else needs it.`,
        cautions: [CAUTIONS.neverProvesDead],
        evidence: loads.map((own) => ({
          what: `Power of ${own.label}`,
          value: panel.circuits.find((found) => found.id === own.id)?.watts.value ?? null,
          threshold: own.charges === inverter.battery ? null : limits.inverterHeavyWatts,
          unit: 'W',
        })),
        confidence: 'inferred',
        points: pointsOf(boat, inverter.id, inverter.battery, ...loads.map((own) => own.id)),
      };
    },
  };
}

function placesOf(loads: readonly Circuit[]): string {
  const places = loads.flatMap((own) => (own.position === undefined ? [] : [own.position]));
  return places.length === 0 ? '' : ` (breaker ${inWords(places)})`;
}

export const inverterHeavyLoad: Rule = (context) =>
  context.boat.sources.flatMap((source) => {
    if (source.kind !== 'inverter') return [];
    const state = context.panel.sources.find((own) => own.id === source.id);
    return state ? [check(context, source, state)] : [];
  });
