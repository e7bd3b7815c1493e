/**
 * A pump draws far more than its usual: something holds its impeller. Once told, it stands until
 * the pump has been seen to run as usual, for a pump that then draws nothing may have lost its fuse.
 */
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat } from '../boat/boat.ts';
import { moves, usualAmps } from './pump-strokes.ts';
import { currentEvidence, isSilent } from './pump-words.ts';
import type { Pump } from './pump-words.ts';
import { amps, CAUTIONS, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';

const RULE = 'pump-jammed';

function verdict(pump: Pump, boat: Boat): Verdict {
  if (isSilent(pump)) return 'unknown';
  const does = moves(pump.memory, boat, pump.circuit);
  if (does === null) return 'hold';
  return does === 'jammed' ? 'raise' : 'clear';
}

export function pumpJammed({ boat }: RuleContext, pump: Pump): Check {
  const { circuit, memory, state } = pump;
  const priority = circuit.duty === 'bilge pump' ? 'alarm' : 'warning';
  const onDelayMs = boat.limits.pumpJammedSeconds * 1000;
  return {
    rule: RULE,
    key: `${RULE}.${circuit.id}`,
    levels: [{ priority, verdict: verdict(pump, boat), onDelayMs }],
    offDelayMs: onDelayMs,
    describe() {
      return {
        rule: RULE,
        subject: { part: circuit.id },
        priority,
        title: `${circuit.label} draws ${amps(state.amps)}, usual is ${amps(usualAmps(memory, circuit))}: it may be jammed`,
        means:
          'Something seems to hold its impeller. Its motor and wire run hot, it moves little or no water, and its fuse may blow; after that it draws nothing at all.',
        doThis:
          'Switch it off, clear its strainer and impeller, look at its fuse, and test it with water.',
        cautions: [CAUTIONS.rotating, CAUTIONS.bilgeWater],
        evidence: [currentEvidence(pump, boat.limits.pumpJammedRatio)],
        confidence: 'measured',
        points: pointsOf(boat, circuit.id),
      };
    },
  };
}
