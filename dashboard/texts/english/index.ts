/** English, joined from one file a view. Another language is another folder that joins to the same shape. */
import { alerts } from './alerts.ts';
import { common } from './common.ts';
import { health } from './health.ts';
import { panel } from './panel.ts';
import { record } from './record.ts';
import { saying } from './saying.ts';
import { singleLine } from './single-line.ts';
import { trend } from './trend.ts';

export const english = {
  ...common,
  ...alerts,
  ...panel,
  ...saying,
  ...singleLine,
  ...trend,
  ...record,
  ...health,
} as const;
