/**
 * panelward about itself: its record, its disk, its clock, its pace, its letters, its computer's
 * power, its certificate. What it cannot find out is unknown. One cause is one alert: a disk that is
 * full explains a record that cannot be written.
 */
import type { Priority } from '../alerts/alert.ts';
import type { Check, Level, Verdict } from '../alerts/check.ts';
import type { SelfReport } from '../self-report.ts';
import { SELF_REPORT_STALE_MS } from '../self-report.ts';
import type { Rule, RuleContext } from './rule.ts';
import { duration } from './rule.ts';
import type { RuleName } from './rule-names.ts';
import { keyOf } from './rule-names.ts';

const SECOND_MS = 1000;
const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

/** Common practice for a server: more than this is felt by whoever uses it. */
const LAG_MOST_MS = 1000;
const LAG_GOOD_MS = 500;
const LETTERS_MOST_MS = 15 * MINUTE_MS;
/** A computer without the internet for a day has a clock that nobody vouches for. */
const CLOCK_UNSET_MS = 24 * HOUR_MS;
const CERTIFICATE_DAYS = 30;
const CERTIFICATE_DAYS_URGENT = 7;

/** The last report, if it is not too old. */
export function freshReport({ self, nowMs }: RuleContext): Partial<SelfReport> {
  return self && nowMs - self.atMs <= SELF_REPORT_STALE_MS ? self : {};
}

/** The words about one of these; `value` is null where it is not known. */
export interface OwnWords {
  title: string;
  means: string;
  doThis: string;
  evidence?: { what: string; value: number | null; threshold: number | null; unit: string };
}

/** A check about panelward itself: it is about no part of the boat. */
export function ownCheck(
  rule: RuleName,
  subject: string | undefined,
  levels: Level[],
  offDelayMs: number,
  words: (priority: Priority) => OwnWords,
  explains: readonly string[] = [],
): Check {
  return {
    rule,
    key: keyOf(rule, subject),
    levels,
    offDelayMs,
    ...(explains.length > 0 && { explains }),
    describe(priority) {
      const { evidence, ...said } = words(priority);
      return {
        rule,
        subject: { part: '' },
        priority,
        ...said,
        cautions: [],
        evidence: evidence ? [evidence] : [],
        confidence: 'measured',
        points: [],
      };
    },
  };
}

export const holds = (isSo: boolean | undefined): Verdict =>
  isSo === undefined ? 'unknown' : isSo ? 'raise' : 'clear';

function diskFilling({ disk }: Partial<SelfReport>): Check {
  const isFull = disk && disk.space === 'full';
  const isLittle = disk && disk.space !== 'enough';
  return ownCheck(
    'disk-filling',
    undefined,
    [
      { priority: 'warning', verdict: holds(isFull), onDelayMs: MINUTE_MS },
      { priority: 'caution', verdict: holds(isLittle), onDelayMs: 5 * MINUTE_MS },
    ],
    10 * MINUTE_MS,
    (priority) => ({
      title:
        priority === 'warning'
          ? 'The disk is full: readings are not recorded any more'
          : 'The disk of panelward is filling up',
      means:
        priority === 'warning'
          ? 'Alerts are still raised and told, from a reserve on the disk; charts have a gap from now on.'
          : 'When it goes on so, old readings are deleted first, and then none are recorded any more.',
      doThis:
        'Free room on the disk of the computer that panelward runs on, or give it a larger one.',
      evidence: {
        what: 'Free on the disk',
        value: disk?.freeBytes == null ? null : Math.round(disk.freeBytes / 1024 ** 2),
        threshold: null,
        unit: 'MiB',
      },
    }),
    isFull === true ? [keyOf('record-not-written')] : [],
  );
}

function recordNotWritten({ record }: Partial<SelfReport>): Check {
  return ownCheck(
    'record-not-written',
    undefined,
    [{ priority: 'warning', verdict: holds(record && !record.isWritable), onDelayMs: MINUTE_MS }],
    MINUTE_MS,
    () => ({
      title: 'panelward cannot write its record',
      means: `Alerts are raised and told as ever, but what happens now is forgotten if the computer stops. The disk says: ${record?.lastError ?? 'nothing'}.`,
      doThis: 'See that the disk or memory card is there, is not worn out and may be written to.',
    }),
  );
}

function clockNotSet({ clock }: Partial<SelfReport>): Check {
  return ownCheck(
    'clock-not-set',
    undefined,
    [
      {
        priority: 'caution',
        verdict: holds(clock && !clock.isSynchronised),
        onDelayMs: CLOCK_UNSET_MS,
      },
    ],
    0,
    () => ({
      title: 'Nobody has set the clock of panelward for a day',
      means:
        'Durations and the order of all that happens are right, but hours of the day may be wrong, and old readings are not deleted by age.',
      doThis: 'Let the computer reach a time server once, or set its clock by hand.',
    }),
  );
}

function panelwardSlow({ loopLagMs }: Partial<SelfReport>): Check {
  const verdict: Verdict =
    loopLagMs === undefined
      ? 'unknown'
      : loopLagMs > LAG_MOST_MS
        ? 'raise'
        : loopLagMs <= LAG_GOOD_MS
          ? 'clear'
          : 'hold';
  return ownCheck(
    'panelward-slow',
    undefined,
    [{ priority: 'caution', verdict, onDelayMs: 5 * MINUTE_MS }],
    5 * MINUTE_MS,
    () => ({
      title: 'The computer cannot keep up: panelward runs late',
      means: 'Readings are judged and alerts are told with a delay of a second or more.',
      doThis: 'See what else runs on that computer, and whether it is too warm or short of memory.',
      evidence: {
        what: 'Delay, one time in a hundred',
        value: loopLagMs === undefined ? null : Math.round(loopLagMs),
        threshold: LAG_MOST_MS,
        unit: 'ms',
      },
    }),
  );
}

function lettersWaiting({ letters }: Partial<SelfReport>): Check {
  const oldestMs = letters?.oldestDueMs ?? null;
  return ownCheck(
    'letters-waiting',
    undefined,
    [
      {
        priority: 'caution',
        verdict: holds(letters && oldestMs !== null && oldestMs > LETTERS_MOST_MS),
        onDelayMs: 0,
      },
    ],
    MINUTE_MS,
    () => ({
      title: 'Messages cannot leave the boat',
      means: `The oldest has waited for ${duration(oldestMs ?? 0)}. Nobody ashore is told of anything meanwhile; all of it goes out once the way is open again.`,
      doThis:
        'See whether the boat has a connection to the internet, and what Health says of each way out.',
    }),
  );
}

function computerPower({ power }: Partial<SelfReport>): Check {
  const isWeak = power && (power.isUndervoltage || power.isThrottled);
  return ownCheck(
    'computer-power',
    undefined,
    [
      { priority: 'warning', verdict: holds(power?.isUndervoltage), onDelayMs: 30 * SECOND_MS },
      { priority: 'caution', verdict: holds(isWeak), onDelayMs: 5 * MINUTE_MS },
    ],
    10 * MINUTE_MS,
    (priority) => ({
      title:
        priority === 'warning'
          ? 'The computer of panelward gets too little voltage'
          : 'The computer of panelward has slowed itself down',
      means:
        priority === 'warning'
          ? 'It can stop at any moment or damage its memory card, and then nothing aboard is watched.'
          : 'It is too hot or its supply is weak; it may fall behind.',
      doThis:
        'See to its power supply, its cable and its plugs, and that air can reach it. A sagging house battery shows here first.',
    }),
  );
}

function certificateEnds({ certificate }: Partial<SelfReport>): Check {
  const days = certificate?.daysLeft;
  const within = (most: number): Verdict => holds(days === undefined ? undefined : days <= most);
  return ownCheck(
    'certificate-ends',
    undefined,
    [
      { priority: 'warning', verdict: within(CERTIFICATE_DAYS_URGENT), onDelayMs: 0 },
      { priority: 'caution', verdict: within(CERTIFICATE_DAYS), onDelayMs: 0 },
    ],
    0,
    () => ({
      title:
        days !== undefined && days < 0
          ? 'The certificate of the page is no longer valid'
          : 'The certificate of the page ends soon',
      means: 'Browsers and phones then refuse the page, and no message reaches them.',
      doThis: 'Make a new certificate as you made this one.',
      evidence: {
        what: 'Days left',
        value: days === undefined ? null : Math.floor(days),
        threshold: CERTIFICATE_DAYS,
        unit: 'days',
      },
    }),
  );
}

/** Causes first. */
export const ownHealth: Rule = (context) => {
  const report = freshReport(context);
  return [
    diskFilling(report),
    recordNotWritten(report),
    clockNotSet(report),
    panelwardSlow(report),
    lettersWaiting(report),
    computerPower(report),
    certificateEnds(report),
  ];
};
