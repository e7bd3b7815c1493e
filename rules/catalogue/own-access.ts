/**
 * Somebody tries passwords at the page. Ten wrong ones in an hour are more than a person mistypes.
 * One alert, however long it goes on: it is over only after a day without a single wrong one.
 */
import type { Check } from '../alerts/check.ts';
import type { SelfReport } from '../self-report.ts';
import { freshReport, ownCheck } from './own-health.ts';
import type { Rule } from './rule.ts';

/** Common practice; a crew that mistypes stays below it. */
export const FAILED_MOST = 10;
const OVER_AFTER_MS = 23 * 3_600_000;

function failedSignIns({ signIns }: Partial<SelfReport>): Check {
  const failed = signIns?.failedInHour;
  const verdict =
    failed === undefined
      ? 'unknown'
      : failed >= FAILED_MOST
        ? 'raise'
        : failed === 0
          ? 'clear'
          : 'hold';
  return ownCheck(
    'failed-sign-ins',
    undefined,
    [{ priority: 'warning', verdict, onDelayMs: 0 }],
    OVER_AFTER_MS,
    () => ({
      title: 'Somebody tries passwords at the page of panelward',
      means:
        'Each further try has to wait, so guessing takes very long, but whoever it is can reach the page. Nobody is locked out by it.',
      doThis:
        'If it was none of you, see `panelward access audit` on the boat’s computer for the addresses, keep strangers off the boat’s Wi-Fi, and see that every password is a long one.',
      evidence: {
        what: 'Wrong passwords or codes within an hour',
        value: failed ?? null,
        threshold: FAILED_MOST,
        unit: '',
      },
    }),
  );
}

export const ownAccess: Rule = (context) => [failedSignIns(freshReport(context))];
