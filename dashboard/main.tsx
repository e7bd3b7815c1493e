import { render } from 'preact';
import { App } from './app.tsx';
import { followAddress } from './browser-route.ts';
import { startLive } from './live.ts';
import { texts } from './texts.ts';

const root = document.getElementById('page');
if (root === null) throw new Error('The page has no element with the id "page".');
document.documentElement.lang = texts.locale;
followAddress();
startLive();
render(<App />, root);
