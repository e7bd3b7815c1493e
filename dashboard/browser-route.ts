/** The route that the browser stands on, as a signal. */
import { signal } from '@preact/signals';
import { hashOf, readHash, type Route } from './route.ts';

export const route = signal<Route>(readHash(location.hash));

/** Follows the address bar until the returned function is called. */
export function followAddress(): () => void {
  const read = () => {
    route.value = readHash(location.hash);
  };
  addEventListener('hashchange', read);
  return () => removeEventListener('hashchange', read);
}

/** Goes to a route without adding a step to the way back: for choices within one view. */
export function replaceRoute(next: Route): void {
  history.replaceState(null, '', hashOf(next));
  route.value = next;
}

/** Goes to a route as a step of its own, so that the way back leads to where one was. */
export function goToRoute(next: Route): void {
  location.hash = hashOf(next);
}
