/** Where the keyboard's focus goes when what held it disappears. */

export const ALERTS_HEADING = 'alerts-heading';

/** The element id of an alert's heading. Alert ids hold signs that ids in a page may not. */
export function headingIdOf(alertId: string): string {
  return `alert-${alertId.replaceAll(/[^A-Za-z0-9]/g, (sign) => `_${sign.codePointAt(0)}_`)}`;
}

/** Puts the focus on an alert's heading, or on that of all alerts when the alert is gone. */
export function focusAlert(alertId: string): void {
  // After the page has drawn what changed.
  requestAnimationFrame(() => {
    const heading = document.getElementById(headingIdOf(alertId));
    (heading ?? document.getElementById(ALERTS_HEADING))?.focus();
  });
}
