/** English, joined from one file a view. Another language is another folder that joins to the same shape. */
import { access } from './access.ts';
import { alerts } from './alerts.ts';
import { circuits } from './circuits.ts';
import { common } from './common.ts';
import { display } from './display.ts';
import { guest } from './guest.ts';
import { health } from './health.ts';
import { history } from './history.ts';
import { panel } from './panel.ts';
import { past } from './past.ts';
import { push } from './push.ts';
import { report } from './report.ts';
import { room } from './room.ts';
import { saying } from './saying.ts';
import { singleLine } from './single-line.ts';

export const english = {
  ...common,
  ...access,
  ...alerts,
  ...panel,
  ...room,
  ...circuits,
  ...display,
  ...guest,
  ...saying,
  ...singleLine,
  ...history,
  ...past,
  ...push,
  ...report,
  ...health,
} as const;
