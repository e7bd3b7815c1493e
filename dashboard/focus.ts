/** Where the keyboard's focus goes when what held it disappears. */

export const ALERTS_HEADING = 'alerts-heading';

export const SURVEY_HEADING = 'survey-heading';

/** Puts the focus, and with it the screen, on a heading of this view. */
export function focusHeading(id: string): void {
  const heading = document.getElementById(id);
  heading?.scrollIntoView();
  heading?.focus({ preventScroll: true });
}

/** The element id of an alert's heading. Alert ids hold signs that ids in a page may not. */
export function headingIdOf(alertId: string): string {
  return `alert-${alertId.replaceAll(/[^A-Za-z0-9]/g, (sign) => `_${sign.codePointAt(0)}_`)}`;
}

/** Puts the focus on an alert's heading, or on that of all alerts when the alert is gone. */
export function focusAlert(alertId: string): void {
  // After the page has drawn what changed.
  requestAnimationFrame(() => {
    const heading = document.getElementById(headingIdOf(alertId));
    // Put away, it stands folded under a heading of its own.
    const fold = heading?.closest('details:not([open])')?.querySelector('summary');
    (fold ?? heading ?? document.getElementById(ALERTS_HEADING))?.focus();
  });
}

let later: string | null = null;

/** As `focusAlert`, once the dialog that is open has closed and given the focus back. */
export function focusAlertLater(alertId: string): void {
  later = alertId;
}

/** For the dialog, when it has closed. */
export function focusAsPlanned(): void {
  if (later !== null) focusAlert(later);
  later = null;
}
