/**
 * A battery charger has AC power and yet does not charge: left off, tripped or broken. Remembers
 * the last change-over of every bus, because that is when a charger's breaker is forgotten.
 */
import { z } from 'zod';
import type { Finding } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Battery, Circuit, PartId } from '../boat/boat.ts';
import { chemistryLimits } from '../boat/chemistry-limits.ts';
import { byId } from '../panel/lookup.ts';
import type { BatteryState, CircuitState } from '../panel/panel-state.ts';
import { batteryOutlook, chargersOf } from './battery-words.ts';
import { remembering } from './catalogue-rule.ts';
import { NOT_AT_WORK } from './modes.ts';
import { amps, CAUTIONS, duration, label, pointsOf, wasHeard } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'charger-off';

/** A change-over so long before the charger fell silent, or so shortly after, has to do with it. */
const TIED_BEFORE_MS = 10 * 60_000;
const TIED_AFTER_MS = 2 * 60_000;
/** Another charger of the same bank works hard above this share of its running current. */
const HARD_AT_WORK = 0.5;

const memorySchema = z.object({
  feeds: z.record(z.string(), z.string()),
  changes: z.record(z.string(), z.object({ from: z.string(), to: z.string(), atMs: z.number() })),
});
type Memory = z.infer<typeof memorySchema>;

function noteChangeOvers({ past, nowMs }: RuleContext, memory: Memory): void {
  for (const [bus, { by }] of Object.entries(past.feeds)) {
    const before = memory.feeds[bus];
    memory.feeds[bus] = by;
    if (before === undefined || before === by) continue;
    memory.changes[bus] = { from: before, to: by, atMs: nowMs };
  }
}

interface Charging {
  context: RuleContext;
  charger: Circuit;
  state: CircuitState;
  battery: Battery;
  bank: BatteryState;
}

/** Another charger of the bank is at work, so this one ought to be as well. */
function othersWork({ context, charger, battery }: Charging): boolean {
  return chargersOf(context.boat, battery.id).some((other) => {
    if (other.id === charger.id) return false;
    const value = byId(context.panel.circuits, other.id)?.amps.value ?? 0;
    return value > Math.max(other.drawingAmps, (other.ampsRunning ?? 0) * HARD_AT_WORK);
  });
}

function verdict(charging: Charging): Verdict {
  const { context, state, battery, bank } = charging;
  if (state.live !== 'live') return state.live === 'dead' ? 'clear' : 'unknown';
  const isMetered = wasHeard(state.amps);
  if (isMetered && state.activity === 'unknown') return 'unknown';
  if (state.activity === 'not drawing' && othersWork(charging)) return 'raise';
  const volts = bank.volts.value;
  if (volts === null) return 'unknown';
  if (volts >= chemistryLimits(context.boat, battery).chargerOffVolts) return 'clear';
  if (state.activity === 'not drawing') return 'raise';
  // It draws, or has no clamp: then the bank's own current must tell.
  if (bank.amps.value === null) return isMetered ? 'clear' : 'unknown';
  return bank.amps.value < -context.boat.limits.drawingAmps ? 'raise' : 'clear';
}

/** Words about a change-over that came just before the charger fell silent; empty without one. */
function tie({ context, charger, state }: Charging, memory: Memory): string {
  const change = memory.changes[charger.bus];
  const sinceMs = state.activeSinceMs;
  if (!change || sinceMs === null) return '';
  const afterMs = sinceMs - change.atMs;
  if (afterMs > TIED_BEFORE_MS || afterMs < -TIED_AFTER_MS) return '';
  const { boat } = context;
  const ago = duration(context.nowMs - change.atMs);
  return `${label(boat, charger.bus)} was changed from ${label(boat, change.from)} to ${label(boat, change.to)} ${ago} ago, just when it stopped: its breaker may have been left off then.`;
}

function describe(charging: Charging, memory: Memory): Finding {
  const { context, charger, state, battery, bank } = charging;
  const { boat, nowMs } = context;
  const isOff = state.activity === 'not drawing';
  const volts = bank.volts.value;
  const since =
    isOff && state.activeSinceMs !== null ? ` for ${duration(nowMs - state.activeSinceMs)}` : '';
  const place = charger.position === undefined ? '' : ` (breaker ${charger.position})`;
  const bankWords = `${bank.label} is at ${volts === null ? 'an unknown voltage' : `${volts.toFixed(1)} V`}`;
  const flow =
    bank.amps.value !== null && bank.amps.value < 0 ? ` and gives ${amps(-bank.amps.value)}.` : '.';
  return {
    rule: RULE,
    subject: { part: charger.id },
    priority: 'warning',
    title: isOff
      ? `${charger.label} has power but has not drawn anything${since}`
      : `${bank.label} is not being charged although ${charger.label} has power`,
    means: [
      `${bankWords}${flow}`,
      tie(charging, memory),
      isOff ? '' : 'Either the charger has failed, or the boat takes more than it can give.',
      batteryOutlook(bank),
    ]
      .filter(Boolean)
      .join(' '),
    doThis: isOff
      ? `See whether ${charger.label}${place} is switched on, at the panel and at the charger itself. If it trips again, leave it off.`
      : `See what ${charger.label}${place} shows, and switch off what can wait on ${bank.label}.`,
    cautions: [CAUTIONS.neverProvesDead, CAUTIONS.electrician],
    evidence: [
      {
        what: `Current of ${charger.label}`,
        value: state.amps.value,
        threshold: charger.drawingAmps,
        unit: 'A',
      },
      {
        what: `Voltage of ${bank.label}`,
        value: volts,
        threshold: chemistryLimits(boat, battery).chargerOffVolts,
        unit: 'V',
      },
    ],
    confidence: state.amps.evidence === 'measured' ? 'measured' : 'inferred',
    points: pointsOf(boat, charger.id, battery.id),
  };
}

function check(charging: Charging, memory: Memory): Check {
  const { limits } = charging.context.boat;
  const { id } = charging.charger;
  return {
    rule: RULE,
    key: `${RULE}.${id}`,
    modes: NOT_AT_WORK,
    levels: [
      {
        priority: 'warning',
        verdict: verdict(charging),
        onDelayMs: limits.chargerOffMinutes * 60_000,
      },
    ],
    offDelayMs: limits.chargerBackSeconds * 1000,
    describe: () => describe(charging, memory),
  };
}

function checks(context: RuleContext, memory: Memory): Check[] {
  noteChangeOvers(context, memory);
  const { boat, panel } = context;
  return boat.circuits.flatMap((charger) => {
    const isMeantOff =
      charger.standingOrder === 'leave off' || charger.standingOrder === 'out of service';
    if (charger.charges === undefined || isMeantOff) return [];
    const id: PartId = charger.charges;
    const battery = boat.batteries.find((own) => own.id === id);
    const bank = panel.batteries.find((own) => own.id === id);
    const state = byId(panel.circuits, charger.id);
    if (!battery || !bank || !state) return [];
    return [check({ context, charger, state, battery, bank }, memory)];
  });
}

export const chargerOff = remembering<Memory>({
  name: RULE,
  fresh: () => ({ feeds: {}, changes: {} }),
  isSound: (saved): saved is Memory => memorySchema.safeParse(saved).success,
  checks,
});
