/**
 * A bilge pump that starts more often than this boat's own normal, runs without end, or has not
 * run for so long that nobody knows whether it still would. Applies in every mode: water asks
 * nobody what the boat is about.
 */
import type { Finding, Priority } from '../alerts/alert.ts';
import type { Check, Verdict } from '../alerts/check.ts';
import type { Boat } from '../boat/boat.ts';
import { DAY_MS, HOUR_MS, moves, runningMs, usualStartsPerDay } from './pump-strokes.ts';
import {
  currentEvidence,
  currentWords,
  isSilent,
  lengthWords,
  runWords,
  startsInDay,
  startsInHour,
  times,
  usualWords,
} from './pump-words.ts';
import type { Pump } from './pump-words.ts';
import { CAUTIONS, pointsOf } from './rule.ts';
import type { RuleContext } from './rule.ts';
import { keyOf } from './rule-names.ts';

export const OFTEN = 'bilge-pump-often';
export const LONG_RUN = 'bilge-pump-long-run';
const RESTING = 'bilge-pump-resting';

/**
 * What chance alone hardly reaches: half more than the busiest of its own days, and three. With
 * four starts a day by chance, one day in a thousand does.
 */
const aboveChance = (busiest: number): number => Math.ceil(1.5 * busiest) + 3;

const FIND_THE_WATER =
  'Look into the bilge and find where the water comes from: shaft seal, hoses, through-hulls, rain, a tank or an appliance that drains there.';
const GET_HELP =
  'Have somebody look at once, with another pump at hand. Close the seacocks that you can reach, and call for help while there is time if the water rises.';

/** Starts from which on it is more than usual: within an hour, and within a day. */
export function startLimits({ memory }: Pump, boat: Boat): { hour: number; day: number } {
  const { bilgeStartsPerHour, bilgeStartsPerDay, bilgeUsualRatio } = boat.limits;
  const usual = usualStartsPerDay(memory, boat);
  if (usual === null) return { hour: bilgeStartsPerHour, day: bilgeStartsPerDay * bilgeUsualRatio };
  const many = bilgeUsualRatio * usual;
  // A day of heavy rain must not hide the leak of the next: it counts only so far.
  const busiest = Math.min(many, Math.max(...memory.days));
  return {
    hour: Math.max(bilgeStartsPerHour, Math.ceil(many / 24)),
    day: Math.max(bilgeStartsPerDay, Math.ceil(many), aboveChance(busiest)),
  };
}

/** More starts within the hour than any bilge pump should need. */
export const startsAreEmergency = (pump: Pump, context: RuleContext): boolean =>
  startsInHour(pump, context) >= context.boat.limits.bilgeEmergencyStartsPerHour;

/** It has run so long that it cannot keep up, or is stuck on. */
export const runIsEmergency = ({ memory }: Pump, { boat }: RuleContext): boolean =>
  runningMs(memory) >= boat.limits.bilgeEndlessRunMinutes * 60_000;

function often(context: RuleContext, pump: Pump): Check {
  const { boat, nowMs } = context;
  const inHour = startsInHour(pump, context);
  const inDay = startsInDay(pump, context);
  const limits = startLimits(pump, boat);
  const isMany = inHour >= limits.hour || inDay >= limits.day;
  const judged = (isRaised: boolean): Verdict =>
    isSilent(pump) ? 'unknown' : isRaised ? 'raise' : 'clear';
  return {
    rule: OFTEN,
    key: `${OFTEN}.${pump.circuit.id}`,
    levels: [
      {
        priority: 'emergency alarm',
        verdict: judged(startsAreEmergency(pump, context)),
        onDelayMs: 0,
      },
      { priority: 'warning', verdict: judged(isMany), onDelayMs: 0 },
    ],
    offDelayMs: boat.limits.bilgeQuietHours * HOUR_MS,
    describe(priority): Finding {
      const { label, id } = pump.circuit;
      const isOfHour = inHour >= limits.hour;
      const count = isOfHour ? inHour : inDay;
      const span = isOfHour ? 'hour' : '24 h';
      const isDry = moves(pump.memory, boat, pump.circuit) === 'dry';
      return {
        rule: OFTEN,
        subject: { part: id },
        priority,
        title: `${label} has started ${times(count)} in the last ${span}; ${usualWords(pump.memory, boat)}`,
        means: [
          isDry
            ? 'Its float switch may hang, or water comes in.'
            : 'More water comes into the bilge than is usual for this boat, or its float switch is at fault.',
          runWords(pump, nowMs - (isOfHour ? HOUR_MS : DAY_MS)),
          isOfHour ? `In the last 24 h it has started ${times(inDay)}.` : '',
          'The battery carries it only for so long.',
        ]
          .filter(Boolean)
          .join(' '),
        doThis: priority === 'emergency alarm' ? `${GET_HELP} ${FIND_THE_WATER}` : FIND_THE_WATER,
        cautions: [CAUTIONS.bilgeWater, CAUTIONS.rotating],
        evidence: [
          { what: 'Starts in the last hour', value: inHour, threshold: limits.hour, unit: '' },
          { what: 'Starts in the last 24 hours', value: inDay, threshold: limits.day, unit: '' },
        ],
        confidence: 'measured',
        points: pointsOf(boat, id),
      };
    },
  };
}

function longRun(context: RuleContext, pump: Pump): Check {
  const { boat } = context;
  const { bilgeLongRunMinutes, bilgeEndlessRunMinutes, bilgeQuietHours } = boat.limits;
  const ranMs = runningMs(pump.memory);
  const level = (priority: Priority, minutes: number): Check['levels'][number] => ({
    priority,
    verdict: isSilent(pump) ? 'unknown' : ranMs >= minutes * 60_000 ? 'raise' : 'clear',
    // The length of the run is the delay: it goes on over a silent sensor and a restart.
    onDelayMs: 0,
  });
  return {
    rule: LONG_RUN,
    key: `${LONG_RUN}.${pump.circuit.id}`,
    levels: [
      level('emergency alarm', bilgeEndlessRunMinutes),
      level('warning', bilgeLongRunMinutes),
    ],
    offDelayMs: bilgeQuietHours * HOUR_MS,
    explains: [keyOf('pump-jammed', pump.circuit.id)],
    describe(priority): Finding {
      const { label, id } = pump.circuit;
      const isDry = moves(pump.memory, boat, pump.circuit) === 'dry';
      const isEndless = priority === 'emergency alarm';
      return {
        rule: LONG_RUN,
        subject: { part: id },
        priority,
        title: `${label} has run for ${lengthWords(ranMs)} without a pause${isDry ? ', probably dry' : ''}`,
        means: [
          currentWords(pump, boat),
          isDry
            ? 'Its float switch may hang: a dry pump burns out, and the battery runs flat.'
            : isEndless
              ? 'It cannot keep up with the water, or its switch is stuck on.'
              : 'Much water has come in, or its switch is stuck on.',
        ]
          .filter(Boolean)
          .join(' '),
        doThis: isDry
          ? 'Look into the bilge. If it is dry, free the float switch, and switch the pump off only as long as somebody watches the water.'
          : isEndless
            ? `${GET_HELP} ${FIND_THE_WATER}`
            : FIND_THE_WATER,
        cautions: [CAUTIONS.bilgeWater, CAUTIONS.rotating],
        evidence: [
          {
            what: 'Running without a pause',
            value: Math.round(ranMs / 60_000),
            threshold: isEndless ? bilgeEndlessRunMinutes : bilgeLongRunMinutes,
            unit: 'min',
          },
          currentEvidence(pump, boat.limits.pumpDryRatio),
        ],
        confidence: 'measured',
        points: pointsOf(boat, id),
      };
    },
  };
}

/** Rest after which a pump should be tried, in milliseconds. */
function restLimitMs({ memory }: Pump, { limits }: Boat): number {
  const longestMs = Math.max(0, ...memory.restsMs);
  const mostMs = limits.bilgeRestDaysMost * DAY_MS;
  if (longestMs === 0) return mostMs;
  const dueMs = Math.max(limits.bilgeRestDaysLeast * DAY_MS, limits.bilgeRestRatio * longestMs);
  return Math.min(mostMs, dueMs);
}

function resting(context: RuleContext, pump: Pump): Check {
  const { boat } = context;
  const { restMs, isRunning } = pump.memory;
  const limitMs = restLimitMs(pump, boat);
  const isDue = !isRunning && restMs >= limitMs;
  return {
    rule: RESTING,
    key: `${RESTING}.${pump.circuit.id}`,
    levels: [
      {
        priority: 'caution',
        verdict: isSilent(pump) ? 'unknown' : isDue ? 'raise' : 'clear',
        onDelayMs: 0,
      },
    ],
    offDelayMs: 0,
    describe(): Finding {
      const { label, id } = pump.circuit;
      return {
        rule: RESTING,
        subject: { part: id },
        priority: 'caution',
        title: `${label} has not run for ${lengthWords(restMs)}: test its float switch`,
        means:
          'A dry bilge looks the same as a float switch, a fuse or a pump that has failed. Nothing here tells them apart.',
        doThis: 'Lift the float or pour in some water, and see that the pump runs and empties it.',
        cautions: [CAUTIONS.bilgeWater, CAUTIONS.rotating],
        evidence: [
          {
            what: 'Rest',
            value: Math.floor(restMs / DAY_MS),
            threshold: Math.round(limitMs / DAY_MS),
            unit: 'd',
          },
        ],
        confidence: 'measured',
        points: pointsOf(boat, id),
      };
    },
  };
}

/** The checks of one bilge pump. */
export const bilgePump = (context: RuleContext, pump: Pump): Check[] => [
  longRun(context, pump),
  often(context, pump),
  resting(context, pump),
];
