/**
 * `panelward export`, `survey` and `replay`: a recorded span as text. The daemon may run meanwhile.
 * What is printed is for other programs or for paper; progress goes where it does not disturb.
 */
import {
  BASE_UNITS,
  BoatSurvey,
  compareAlerts,
  Replay,
  SurveyRun,
  toldOf,
} from '../rules/index.ts';
import type { AlertEvent, Boat, Pair, Told } from '../rules/index.ts';
import { openBoatFile } from './boat-file.ts';
import type { Print } from './check.ts';
import { stopwatch } from './clock.ts';
import { recordedText } from './export/recorded-text.ts';
import type { ExportFormat } from './export/readings-text.ts';
import { surveyText } from './export/survey-text.ts';
import { INSTANT_FORMS, localText, readInstant } from './instants.ts';
import { StoreProblem } from './store/store.ts';
import { type RecordView, viewRecord } from './store/record-viewer.ts';
import { packageVersion } from './version.ts';

export interface Span {
  boat: string;
  folder: string;
  /** As typed. */
  from: string;
  to: string;
  /** By the wall clock. */
  nowMs: number;
}

export interface Output {
  /** Takes text as it is; resolves when there is room for more. */
  write: (text: string) => Promise<void>;
  /** A line about the work itself. */
  note: Print;
}

interface Looked {
  boat: Boat;
  view: RecordView;
  /** Present instants of the record. */
  fromMs: number;
  toMs: number;
  textOf: (atMs: number) => string;
}

/** So much before a replay's span goes through the rules, so that they know the boat. */
const WARM_UP_MS = 3_600_000;
const PROGRESS_EVERY_MS = 2000;

/** Recorded readings as CSV or JSON lines. `points` null: all of the boat file. Returns the exit code. */
export function exportReadings(
  given: Span & { points: readonly string[] | null; format: ExportFormat },
  output: Output,
): Promise<number> {
  return lookingBack(given, output, async ({ boat, view, fromMs, toMs }) => {
    const ids = given.points ?? [...boat.points.keys()];
    const unknown = ids.filter((id) => !boat.points.has(id));
    if (unknown.length > 0) {
      output.note(`The boat file has no point ${unknown.map((id) => `"${id}"`).join(', ')}.`);
      return 1;
    }
    const points = ids.map((id) => {
      const quantity = boat.points.get(id)?.quantity;
      return { id, unit: quantity ? BASE_UNITS[quantity] : '' };
    });
    const span = { format: given.format, points, fromMs, toMs };
    for await (const text of recordedText(view, span)) await output.write(text);
    return 0;
  });
}

/** What every part came to over a span. `isJson`: everything there is, for other programs. */
export function surveySpan(given: Span & { isJson: boolean }, output: Output): Promise<number> {
  return lookingBack(given, output, async ({ boat, view, fromMs, toMs, textOf }) => {
    const survey = new BoatSurvey(boat, fromMs, toMs);
    const run = new SurveyRun(boat, fromMs, toMs);
    const progress = progressOf(output, { fromMs, toMs });
    const points = [...boat.points.keys()];
    const led = { points, fromMs: fromMs - survey.leadMs, toMs: toMs + survey.leadMs };
    for await (const batch of view.reader.readings(led)) {
      for (const { pointId, atMs, value } of batch) run.take(pointId, atMs, value);
      progress(batch.at(-1)?.atMs ?? fromMs);
    }
    const surveyed = survey.surveyedFrom(run.pieces());
    const text = given.isJson
      ? JSON.stringify(surveyed, null, 2)
      : surveyText(surveyed, packageVersion(), textOf);
    await output.write(`${text}\n`);
    return 0;
  });
}

/** The rules of today and of this boat file over what was recorded, beside what was told then. */
export function replaySpan(given: Span, output: Output): Promise<number> {
  return lookingBack(given, output, async ({ boat, view, fromMs, toMs, textOf }) => {
    const beginMs = fromMs - WARM_UP_MS;
    const replay = new Replay(boat, {
      fromMs,
      toMs,
      restartsAtMs: view.startsMs.filter((atMs) => atMs > beginMs && atMs < toMs),
      panelEvents: view.panelEvents(-Infinity, toMs),
    });
    const progress = progressOf(output, { fromMs: beginMs, toMs });
    let readings = 0;
    const query = { points: view.reader.points(), fromMs: beginMs, toMs };
    for await (const batch of view.reader.readings(query)) {
      for (const reading of batch) {
        replay.take(reading);
        progress(reading.atMs);
      }
      readings += batch.length;
    }
    const replayed = replay.finish();
    const lines = replayLines(view.alertEvents(fromMs, toMs), replayed, textOf);
    const head = `${boat.name}, ${textOf(fromMs)} to ${textOf(toMs)}: ${readings} readings, an hour before it included.`;
    const { passedOver } = replay;
    const strange = `${passedOver} of them are of points that this boat file does not have.`;
    await output.write([head, ...(passedOver > 0 ? [strange] : []), '', ...lines, ''].join('\n'));
    return 0;
  });
}

const REPLAY_NOTE =
  'A replay knows what it has read: habits that were learned in the weeks before are not in it.';

function replayLines(
  recorded: readonly AlertEvent[],
  replayed: readonly AlertEvent[],
  textOf: (atMs: number) => string,
): string[] {
  const pairs = compareAlerts(toldOf(recorded), toldOf(replayed));
  const count = (of: (pair: Pair) => boolean): number => pairs.filter(of).length;
  const both = count((pair) => pair.recorded !== null && pair.replayed !== null);
  const gone = count((pair) => pair.replayed === null);
  const added = count((pair) => pair.recorded === null);
  return [
    ...pairs.map((pair) => pairLine(pair, textOf)),
    ...(pairs.length > 0 ? [''] : []),
    `Told then and now: ${both}. Then only: ${gone}. Now only: ${added}.`,
    REPLAY_NOTE,
  ];
}

function pairLine({ recorded, replayed }: Pair, textOf: (atMs: number) => string): string {
  const which = recorded && replayed ? 'then and now' : recorded ? 'then only' : 'now only';
  const told: Told | null = replayed ?? recorded;
  if (told === null) return '';
  const later = recorded && replayed ? replayed.raisedAtMs - recorded.raisedAtMs : 0;
  const shift =
    Math.abs(later) < 1000
      ? ''
      : ` (${(later / 1000).toFixed(0)} s ${later > 0 ? 'later' : 'earlier'} now)`.replace('-', '');
  const at = textOf((recorded ?? told).raisedAtMs);
  return `${which.padEnd(12)}  ${at}  ${told.priority.padEnd(15)}  ${told.title}${shift}`;
}

/** Opens boat and record, reads the span, and says in one line what stood in the way. */
async function lookingBack(
  given: Span,
  output: Output,
  work: (looked: Looked) => Promise<number>,
): Promise<number> {
  const { boat, lines } = openBoatFile(given.boat);
  for (const line of lines) output.note(line);
  if (!boat) return 1;
  let view: RecordView | null = null;
  try {
    view = viewRecord(given.folder);
    const { axis } = view;
    const [from, to] = [given.from, given.to].map((text) => readInstant(text, given.nowMs));
    if (from == null) return wrongInstant(output, '--from', given.from);
    if (to == null) return wrongInstant(output, '--to', given.to);
    if (to <= from) {
      output.note('--to must be after --from.');
      return 1;
    }
    const [fromMs, toMs] = [from - axis.offsetMs, to - axis.offsetMs];
    const textOf = (atMs: number): string => localText(axis.utcMsOf(atMs));
    return await work({ boat, view, fromMs, toMs, textOf });
  } catch (error) {
    if (!(error instanceof StoreProblem)) throw error;
    output.note(error.message);
    return 1;
  } finally {
    view?.close();
  }
}

function wrongInstant(output: Output, option: string, text: string): number {
  output.note(`${option} must be ${INSTANT_FORMS}; got "${text}".`);
  return 1;
}

/** Notes how far the work is, every other second. */
function progressOf(output: Output, { fromMs, toMs }: { fromMs: number; toMs: number }) {
  const took = stopwatch();
  let nextMs = PROGRESS_EVERY_MS;
  let calls = 0;
  return (atMs: number): void => {
    calls += 1;
    // Asking the clock for every reading would cost more than the reading.
    if (calls % 64 !== 0 || took() < nextMs) return;
    nextMs = took() + PROGRESS_EVERY_MS;
    output.note(`${Math.floor((100 * (atMs - fromMs)) / (toMs - fromMs))} %`);
  };
}
