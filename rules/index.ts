/** What the rest of the project may use of the rules; no other folder imports past this file. */
export * from './electrical/index.ts';
export type * from './alerts/alert.ts';
export { PRIORITIES } from './alerts/alert.ts';
export type * from './boat/boat.ts';
export { LIMITS } from './boat/limits.ts';
export type { LimitName } from './boat/limits.ts';
export type * from './panel/panel-state.ts';
export { BASE_UNITS } from './panel/latest.ts';
export type { Reading, Silence } from './reading.ts';
export { rehearsalSchema, rehearse } from './rehearsal/rehearsal.ts';
export type { Miss, Rehearsal } from './rehearsal/rehearsal.ts';
export { createWatch } from './watch.ts';
export type { Evaluation, SavedWatch, Watch } from './watch.ts';
