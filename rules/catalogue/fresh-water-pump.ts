/**
 * A fresh-water pump that runs without end, runs dry, or chirps to make up pressure that a weeping
 * fitting loses. The rules know no time of day: what tells a weep from hands at a tap is that it
 * keeps an even beat, or that nobody is aboard.
 */
import type { Finding } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat } from '../boat/boat.ts';
import { ONLY_AWAY } from './modes.ts';
import { HOUR_MS, moves, runningMs } from './pump-strokes.ts';
import type { Stroke } from './pump-strokes.ts';
import { currentEvidence, currentWords, isSilent, lengthWords } from './pump-words.ts';
import type { Pump } from './pump-words.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';

export const FRESH_LONG_RUN = 'fresh-water-long-run';
export const FRESH_DRY = 'fresh-water-dry';
const WEEPS = 'fresh-water-weeps';

/** Standard deviation of the beat, as a share of it: people at a tap are far from so even. */
const EVEN_RATIO = 0.25;

/** The verdict where the pump's current is known. */
const judged = (pump: Pump, verdict: Verdict): Verdict => (isSilent(pump) ? 'unknown' : verdict);

function longRun({ boat }: RuleContext, pump: Pump): Check {
  const { freshWaterRunMinutes, pumpClearSeconds } = boat.limits;
  const ranMs = runningMs(pump.memory);
  const isLong = ranMs >= freshWaterRunMinutes * 60_000;
  const now = judged(pump, isLong ? 'raise' : 'clear');
  const { label, id } = pump.circuit;
  return {
    rule: FRESH_LONG_RUN,
    key: `${FRESH_LONG_RUN}.${id}`,
    levels: [
      // With nobody aboard nobody stands under a shower.
      {
        priority: 'alarm',
        verdict: now,
        onDelayMs: 0,
        modes: ONLY_AWAY,
      },
      { priority: 'warning', verdict: now, onDelayMs: 0 },
    ],
    offDelayMs: pumpClearSeconds * 1000,
    describe(priority): Finding {
      return {
        rule: FRESH_LONG_RUN,
        subject: { part: id },
        priority,
        title: `${label} has run for ${lengthWords(ranMs)} without a pause`,
        means: `A tap is open, a hose has come off or the tank is empty: the water may be going into the bilge. ${currentWords(pump, boat)}`,
        doThis: `Switch ${label} off, then look at the taps, the hoses and the tank.`,
        cautions: [CAUTIONS.bilgeWater, CAUTIONS.rotating],
        evidence: [
          {
            what: 'Running without a pause',
            value: Math.round(ranMs / 60_000),
            threshold: freshWaterRunMinutes,
            unit: 'min',
          },
        ],
        confidence: 'measured',
        points: pointsOf(boat, id),
      };
    },
  };
}

function dry({ boat }: RuleContext, pump: Pump): Check {
  const does = moves(pump.memory, boat, pump.circuit);
  const { label, id } = pump.circuit;
  const verdict = does === 'dry' ? 'raise' : does === 'nearly dry' ? 'hold' : 'clear';
  return {
    rule: FRESH_DRY,
    key: `${FRESH_DRY}.${id}`,
    levels: [
      {
        priority: 'warning',
        verdict: judged(pump, verdict),
        onDelayMs: boat.limits.pumpDrySeconds * 1000,
      },
    ],
    offDelayMs: boat.limits.pumpClearSeconds * 1000,
    explains: [keyOf(FRESH_LONG_RUN, id)],
    describe(priority): Finding {
      return {
        rule: FRESH_DRY,
        subject: { part: id },
        priority,
        title: `${label} has run for ${lengthWords(runningMs(pump.memory))} and is probably dry`,
        means: `${currentWords(pump, boat)} The tank may be empty or the pump draws air; dry, it wears out fast and never reaches its pressure.`,
        doThis: `Switch ${label} off, then look at the tank, its valve and the pump's strainer.`,
        cautions: [CAUTIONS.rotating],
        evidence: [currentEvidence(pump, boat.limits.pumpDryRatio)],
        confidence: 'inferred',
        points: pointsOf(boat, id),
      };
    },
  };
}

/** Time from each start to the next. */
const beats = (strokes: readonly Stroke[]): number[] =>
  strokes.slice(1).map((stroke, i) => stroke.startMs - (strokes[i]?.startMs ?? 0));

function isEven(lengths: readonly number[]): boolean {
  const mean = lengths.reduce((sum, own) => sum + own, 0) / lengths.length;
  const spread = lengths.reduce((sum, own) => sum + (own - mean) ** 2, 0) / lengths.length;
  return Math.sqrt(spread) <= EVEN_RATIO * mean;
}

/** Newest starts, if all of them are short and of an even beat that still goes on; else none. */
function evenBeat({ memory }: Pump, boat: Boat, nowMs: number): readonly Stroke[] {
  const last = memory.strokes.slice(-boat.limits.weepStarts);
  if (last.length < boat.limits.weepStarts) return [];
  if (last.some(({ ranMs }) => ranMs > boat.limits.weepRunSeconds * 1000)) return [];
  const lengths = beats(last);
  const goesOn = nowMs - (last.at(-1)?.startMs ?? 0) <= 2 * Math.max(...lengths);
  return goesOn && isEven(lengths) ? last : [];
}

/** Short runs of the last hours with nobody aboard, if none of the runs was longer; else none. */
function alone({ memory }: Pump, { boat, panel, mode, nowMs }: RuleContext): readonly Stroke[] {
  if (mode !== 'away') return [];
  const { weepAwayHours, weepAwayStarts, weepRunSeconds } = boat.limits;
  const sinceMs = Math.max(panel.mode.sinceMs ?? 0, nowMs - weepAwayHours * HOUR_MS);
  const own = memory.strokes.filter(({ startMs }) => startMs > sinceMs);
  const areShort = own.every(({ ranMs }) => ranMs <= weepRunSeconds * 1000);
  return areShort && own.length >= weepAwayStarts ? own : [];
}

function weeps(context: RuleContext, pump: Pump): Check {
  const { boat, nowMs } = context;
  const found = [evenBeat(pump, boat, nowMs), alone(pump, context)].find((own) => own.length > 0);
  const { label, id } = pump.circuit;
  return {
    rule: WEEPS,
    key: `${WEEPS}.${id}`,
    levels: [
      { priority: 'caution', verdict: judged(pump, found ? 'raise' : 'clear'), onDelayMs: 0 },
    ],
    offDelayMs: boat.limits.weepClearHours * HOUR_MS,
    describe(priority): Finding {
      const strokes = found ?? [];
      const spanMs = (strokes.at(-1)?.startMs ?? 0) - (strokes[0]?.startMs ?? 0);
      const everyMs = spanMs / Math.max(1, strokes.length - 1);
      return {
        rule: WEEPS,
        subject: { part: id },
        priority,
        title: `${label} starts briefly about every ${lengthWords(everyMs)}, as if a fitting weeps`,
        means: `It has made up pressure ${strokes.length} times in ${lengthWords(spanMs)}, in short runs that nobody at a tap makes. Water goes somewhere.`,
        doThis:
          'With every tap shut, look for drips at fittings, the water heater and the toilet; then at the pump, which may leak back.',
        cautions: [],
        evidence: [
          {
            what: 'Short starts in a row',
            value: strokes.length,
            threshold:
              context.mode === 'away' ? boat.limits.weepAwayStarts : boat.limits.weepStarts,
            unit: '',
          },
        ],
        confidence: 'inferred',
        points: pointsOf(boat, id),
      };
    },
  };
}

/** The checks of one fresh-water pump. */
export const freshWaterPump = (context: RuleContext, pump: Pump): Check[] => [
  dry(context, pump),
  longRun(context, pump),
  weeps(context, pump),
];
