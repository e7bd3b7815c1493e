/** What the rest of the project may use of the rules; no other folder imports past this file. */
export * from './electrical/index.ts';
export type * from './alerts/alert.ts';
export { MODES, PRIORITIES } from './alerts/alert.ts';
export type * from './boat/boat.ts';
export { LIMITS } from './boat/limits.ts';
export type { LimitName } from './boat/limits.ts';
export { formatProblem } from './boat/problem.ts';
export type { Problem, Severity } from './boat/problem.ts';
export { readBoat } from './boat/read-boat.ts';
export type { ReadBoat } from './boat/read-boat.ts';
export { boatFileSchema } from './boat/file-schema.ts';
export { baseUnitConversion, baseUnitOf, toBaseUnit, unitsOf } from './boat/units.ts';
export type * from './panel/panel-state.ts';
export { BASE_UNITS } from './panel/latest.ts';
export type { Reading, Silence } from './reading.ts';
export type { SelfReport } from './self-report.ts';
export { rehearsalSchema, rehearse } from './rehearsal/rehearsal.ts';
export type { Miss, Rehearsal } from './rehearsal/rehearsal.ts';
export { compareAlerts, toldOf } from './replay/compare-alerts.ts';
export type { Pair, Told } from './replay/compare-alerts.ts';
export { Replay } from './replay/replay.ts';
export type { ReplayScript } from './replay/replay.ts';
export { BoatSurvey } from './survey/boat-survey.ts';
export type { BoatPiece, BoatSurveyed, PartSurvey, PointSurvey } from './survey/boat-survey.ts';
export { SurveyRun } from './survey/survey-run.ts';
export { roughPiece } from './survey/rough-survey.ts';
export { joinedBoat } from './survey/boat-survey.ts';
export { DURATION_SHARES } from './survey/load-survey.ts';
export type { Survey } from './survey/load-survey.ts';
export { loadPlan } from './switching/load-plan.ts';
export type * from './switching/plan.ts';
export { digestOf } from './telling/digest.ts';
export type { Letter, LetterKind, ToldAlert } from './telling/letter.ts';
export { isTimeZone } from './telling/local-time.ts';
export { createTelling } from './telling/telling.ts';
export type {
  SavedTelling,
  Telling,
  TellingNow,
  Tellings,
  TellingSetting,
} from './telling/telling.ts';
export { TOLD, WEEKDAYS } from './telling/telling-settings.ts';
export type { Contact, TellingSettings, ToldWhen, Weekday } from './telling/telling-settings.ts';
export { unknownWays } from './telling/unknown-ways.ts';
export { createWatch } from './watch.ts';
export type { WhyDead, WhyDeadVerdict } from './why-dead/answer.ts';
export { whyDead } from './why-dead/why-dead.ts';
export type { Evaluation, SavedWatch, Watch } from './watch.ts';
