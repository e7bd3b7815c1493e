/** Under which name this browser speaks to the boat. Kept here, and sent with what is said. */
import { signal } from '@preact/signals';

/** The name of the first thing it was asked for; kept so that nobody is asked again. */
const KEPT_AS = 'panelward.acknowledges-as';
/** The daemon's own limit for a name. */
export const LONGEST_NAME = 60;

function keptName(): string {
  try {
    return localStorage.getItem(KEPT_AS) ?? '';
  } catch {
    // A browser may forbid storage; then the name is asked for once a visit.
    return '';
  }
}

/** Empty until somebody gave one. */
export const ownName = signal(keptName());

/** Whoever is signed in speaks under that name and no other; it is not kept for the next one. */
export const isNameFixed = signal(false);

export function speakAs(name: string): void {
  ownName.value = name;
  isNameFixed.value = true;
}

/** Keeps the name in this browser. */
export function keepName(name: string): void {
  if (isNameFixed.value) return;
  ownName.value = name;
  try {
    localStorage.setItem(KEPT_AS, name);
  } catch {
    // As above: kept for this visit only.
  }
}
