/** What the API may ask and say, put together from the parts that are running. */
import { BASE_UNITS, DURATION_SHARES, loadPlan, whyDead } from '../rules/index.ts';
import type { Boat, Point } from '../rules/index.ts';
import type { ApiParts } from './api/api.ts';
import type { BoatAnswer, PointDescription, SurveyAnswer } from './api/contract.ts';
import { recordedText } from './export/recorded-text.ts';
import type { Station } from './station.ts';
import type { Store } from './store/store.ts';
import type { SurveyDesk } from './survey/survey-desk.ts';

export interface RunningParts extends Pick<ApiParts, 'health' | 'post'> {
  boat: Boat;
  version: string;
  startedAtMs: number;
  demo: { scenario: string | null; speed: number } | undefined;
  station: Station;
  store: Store;
  surveys: SurveyDesk;
}

export function apiParts(running: RunningParts): ApiParts {
  const { boat, station, store, surveys, health, post } = running;
  return {
    panel: () => station.panel,
    loadPlan: () => (station.panel ? loadPlan(boat, station.panel) : null),
    whyDead: (part) => (station.panel ? whyDead(boat, station.panel, part) : null),
    openAlerts: () => station.openAlerts().map((alert) => store.onAxis(alert)),
    acknowledge: (alertId, by) => station.acknowledge(alertId, by),
    act: (alertId, act, by) => station.act(alertId, act, by),
    setMode: (mode, untilMs, by) => station.setMode(mode, untilMs, by),
    state: (part, position, by) => station.state(part, position, by),
    record: store,
    exportText: (asked, signal) =>
      recordedText({ reader: store.reader, axis: store.axis() }, asked, signal),
    survey: async (fromMs, toMs, signal) =>
      surveyAnswer(boat, await surveys.survey(fromMs, toMs, signal)),
    boat: () => boatAnswer(running),
    points: () => [...boat.points.values()].map((point) => describePoint(boat, point)),
    health,
    onUpdate: (listener) => station.onUpdate(listener),
    ...(post && { post }),
  };
}

function surveyAnswer(
  boat: Boat,
  { points, ...rest }: Awaited<ReturnType<SurveyDesk['survey']>>,
): SurveyAnswer {
  return {
    ...rest,
    durationShares: [...DURATION_SHARES],
    points: points.map(({ id, of, values }) => ({ id, of, unit: unitOf(boat, id), values })),
  };
}

function boatAnswer({ boat, version, startedAtMs, demo }: RunningParts): BoatAnswer {
  return {
    name: boat.name,
    system: { ac: boat.ac, dc: boat.dc },
    version,
    startedAtMs,
    speed: demo?.speed ?? 1,
    isDemo: demo !== undefined,
    scenario: demo?.scenario ?? null,
  };
}

function unitOf(boat: Boat, pointId: string): string {
  const quantity = boat.points.get(pointId)?.quantity;
  return quantity ? BASE_UNITS[quantity] : '';
}

const QUANTITY_WORDS: Record<Point['quantity'], string> = {
  volts: 'voltage',
  amps: 'current',
  watts: 'power',
  hertz: 'frequency',
  powerFactor: 'power factor',
  stateOfCharge: 'state of charge',
  celsius: 'temperature',
  position: 'position',
  switch: 'position',
};

function describePoint(boat: Boat, point: Point): PointDescription {
  const part = boat.parts.get(point.of);
  const legs = part && 'legs' in part ? part.legs : [];
  const leg = point.leg !== undefined && legs.length > 1 ? ` ${point.leg}` : '';
  return {
    id: point.id,
    label: `${part?.label ?? point.of}${leg}, ${QUANTITY_WORDS[point.quantity]}`,
    of: point.of,
    leg: point.leg ?? null,
    quantity: point.quantity,
    unit: BASE_UNITS[point.quantity],
    expectedEveryMs: point.expectedEveryMs,
  };
}
