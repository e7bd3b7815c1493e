import { effect } from '@preact/signals';
import { render } from 'preact';
import { followVisitor, visitor } from './access.ts';
import { App } from './app.tsx';
import { followAddress } from './browser-route.ts';
import { boat, openAlerts, panel, startLive } from './live.ts';
import { mayLook } from './models/roles.ts';
import { placesOf } from './models/alert-states.ts';
import { loadOthersLater } from './parts/view-slot.tsx';
import { followScreen } from './screen.ts';
import { texts } from './texts.ts';

const root = document.getElementById('page');
if (root === null) throw new Error('The page has no element with the id "page".');
document.documentElement.lang = texts.locale;
followAddress();
followScreen();
effect(() => {
  const name = boat.value?.name ?? panel.value?.boat;
  const open = placesOf([...(openAlerts.value?.values() ?? [])]).told.length;
  document.title = name === undefined ? texts.product : texts.title(name, open);
});
followVisitor();
const stopLive = startLive();
effect(() => {
  // Whoever may not look has no use for questions that are refused every few seconds.
  if (!mayLook(visitor.value)) stopLive();
});
loadOthersLater();
render(<App />, root);
