/** One circuit: its last day, what it does and usually does, and what it hangs together with. */
import { useEffect, useRef } from 'preact/hooks';
import type { CircuitState, PanelState, SurveyAnswer } from '../../daemon/api/contract.ts';
import { ageText, clockText, legsText, withUnit } from '../format.ts';
import { labelOf } from '../models/feeding.ts';
import { energyOf } from '../models/today.ts';
import { hashOf } from '../route.ts';
import { texts } from '../texts.ts';
import { Facts } from './facts.tsx';
import { PointsChart } from './points-chart.tsx';
import { WhyDead } from './why-dead.tsx';

const words = texts.circuits;
const MINUTE_MS = 60_000;

type Fact = readonly [name: string, value: string];

export interface CircuitDetailProps {
  circuit: CircuitState;
  panel: PanelState;
  labels: ReadonlyMap<string, string>;
  today: SurveyAnswer | null;
  closeHref: string;
}

const percent = (ratio: number): string => withUnit(ratio * 100, 0, '%');

/** What it did in the last day and since midnight. */
function dayFacts({ circuit, panel, today }: CircuitDetailProps): Fact[] {
  const { lastDay, lastStartMs } = circuit.habits;
  const isSeen = lastDay.dutyRatio !== null;
  const facts: Fact[] = [
    [words.today, energyOf(today, circuit)?.text ?? words.notYet],
    [words.starts, isSeen ? String(lastDay.starts) : words.notYet],
    [
      words.ran,
      lastDay.dutyRatio === null
        ? words.notYet
        : words.ranFor(ageText(lastDay.runMinutes * MINUTE_MS), percent(lastDay.dutyRatio)),
    ],
    [words.seen, percent(lastDay.coverageRatio)],
  ];
  if (lastStartMs !== null) {
    const age = ageText(panel.atMs - lastStartMs);
    facts.push([words.lastStart, `${clockText(lastStartMs, panel.atMs)} (${age})`]);
  }
  return facts;
}

function normalFacts({ habits }: CircuitState): Fact[] {
  const { runningAmps, startPeakAmps, normal } = habits;
  const facts: Fact[] = [
    [words.usual, runningAmps === null ? words.notYet : withUnit(runningAmps, 1, 'A')],
  ];
  if (startPeakAmps !== null) {
    facts.push([words.startPeak, words.peakSeen(withUnit(startPeakAmps, 0, 'A'))]);
  }
  if (normal === null) return [...facts, [words.normal, words.notYet]];
  const { days, dutyRatio, startsPerDay, longestRunMinutes, longestRestMinutes } = normal;
  const longest = [longestRunMinutes, longestRestMinutes].map((own) => ageText(own * MINUTE_MS));
  return [
    ...facts,
    [words.normal, words.normalIs(days, percent(dutyRatio), String(Math.round(startsPerDay)))],
    [words.longest, words.longestIs(longest[0] ?? '', longest[1] ?? '')],
  ];
}

function tieFacts({ circuit, labels }: CircuitDetailProps): Fact[] {
  const { requires, excludes, standingOrder, note, breaker, legs } = circuit;
  const named = (ids: readonly string[]): string =>
    ids.length === 0 ? words.nothing : texts.list.and(ids.map((id) => labelOf(labels, id)));
  const kind = texts.schedule.breakerKind[breaker.kind];
  const order = standingOrder === null ? words.noOrder : texts.schedule.order[standingOrder];
  const facts: Fact[] = [
    [words.breaker, `${withUnit(breaker.ampsRated, 0, 'A')} ${kind}, ${legsText(legs)}`],
    [words.requires, named(requires)],
    [words.excludes, named(excludes)],
    [words.order, order],
  ];
  return note === null ? facts : [...facts, [words.note, note]];
}

export function CircuitDetail(props: CircuitDetailProps) {
  const { circuit, panel, labels, closeHref } = props;
  const { id, label, bus, position, live, activity } = circuit;
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus(), [id]);
  const points = panel.points.filter(({ of }) => of === id).map((point) => point.id);
  const asks = live === 'dead' ? texts.whyDead.noVoltage : texts.whyDead.notDrawing;
  return (
    <article class="one-circuit" aria-labelledby="one-circuit-heading">
      <p class="one-circuit-close">
        <a class="button" href={closeHref}>
          {words.close}
        </a>
      </p>
      <h3 id="one-circuit-heading" tabIndex={-1} ref={heading}>
        {position !== null && <span class="circuit-position">{position} </span>}
        {label}
      </h3>
      <p class="soft">
        {words.onBus(labelOf(labels, bus))}. {texts.panel.live[live]}.
      </p>
      {activity !== 'drawing' && <WhyDead id={id} label={label} asks={asks} />}
      <div class="one-circuit-facts">
        <Facts facts={dayFacts(props)} />
        <Facts facts={normalFacts(circuit)} />
        <Facts facts={tieFacts(props)} />
      </div>
      <h4>{words.day}</h4>
      <PointsChart key={id} points={points} span="24h" none={words.noMeter} />
      {points.length > 0 && (
        <p>
          <a class="button" href={hashOf({ view: 'history', points, span: '24h' })}>
            {words.whole}
          </a>
        </p>
      )}
    </article>
  );
}
