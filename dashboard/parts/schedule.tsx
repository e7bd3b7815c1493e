/** The panel schedule: the trade's table of circuits, in the order of the boat file. */
import type { ComponentChildren } from 'preact';
import type { CircuitState, PanelState } from '../../daemon/api/contract.ts';
import { ageText, clockText, DASH, legsText, withUnit } from '../format.ts';
import { labelOf } from '../models/feeding.ts';
import { texts } from '../texts.ts';
import { KnownValue } from './known-value.tsx';
import { WhyDead } from './why-dead.tsx';
import { ShareBar } from './share-bar.tsx';

const words = texts.schedule;
/** Below this share of the hour nothing is said of it: a few minutes are no hour. */
const HARDLY_SEEN = 0.1;
/** Below this share of the hour it is said how much of it was seen. */
const MOSTLY_SEEN = 0.95;
const HEADS = [
  words.position,
  words.label,
  words.breaker,
  words.leg,
  words.load,
  words.share,
  words.activity,
  words.note,
];

const HEADS_WITH_ENERGY = HEADS.flatMap((head) =>
  head === words.activity ? [texts.circuits.energy, head] : [head],
);

/** What only the view of all circuits knows. */
export interface ScheduleMore {
  /** Today's energy of a circuit. */
  energyOf: (circuit: CircuitState) => ComponentChildren;
  /** Address that opens one circuit. */
  hrefOf: (id: string) => string;
  /** The bus is named where circuits of several stand together. */
  namesBus: boolean;
}

interface CircuitRowProps {
  circuit: CircuitState;
  nowMs: number;
  labels: ReadonlyMap<string, string>;
  more?: ScheduleMore;
}

/** Standing order, what must or must not run with it, and the electrician's own note. */
function notesOf({ circuit, labels }: CircuitRowProps): string[] {
  const named = (ids: readonly string[]) => texts.list.and(ids.map((id) => labelOf(labels, id)));
  const notes: string[] = [];
  if (circuit.standingOrder !== null) {
    notes.push(`${words.order[circuit.standingOrder]}.`);
  }
  if (circuit.requires.length > 0) notes.push(words.requires(named(circuit.requires)));
  if (circuit.excludes.length > 0) notes.push(words.excludes(named(circuit.excludes)));
  if (circuit.note !== null) notes.push(circuit.note);
  return notes;
}

function Activity({ circuit, nowMs }: CircuitRowProps) {
  const { activity, activeSinceMs } = circuit;
  const word =
    activity === 'unknown' ? `${DASH} ${words.activityIs.unknown}` : words.activityIs[activity];
  return (
    <>
      <span class="circuit-activity-word">{word}</span>
      {activity !== 'unknown' && activeSinceMs !== null && (
        <span class="soft">
          {' '}
          {words.since(clockText(activeSinceMs, nowMs), ageText(nowMs - activeSinceMs))}
        </span>
      )}
    </>
  );
}

/** How often it started in the last hour and how long it ran; nothing of a few minutes or of rest. */
function LastHour({ dutyRatio, coverageRatio, starts }: CircuitState['habits']['lastHour']) {
  if (dutyRatio === null || coverageRatio < HARDLY_SEEN) return null;
  if (starts === 0 && dutyRatio === 0) return null;
  const said = [words.ranOfHour(withUnit(dutyRatio * 100, 0, '%'))];
  if (coverageRatio < MOSTLY_SEEN) {
    said.push(words.partSeen(withUnit(coverageRatio * 100, 0, '%')));
  }
  if (starts > 0) said.push(words.startsOfHour(starts));
  return <span class="circuit-habit">{said.join(', ')}</span>;
}

/** Asks only where something is amiss: a row that merely rests needs no question. */
function Question({ circuit }: { circuit: CircuitState }) {
  const { id, label, live, activity, standingOrder } = circuit;
  const asks = texts.whyDead;
  if (live === 'dead') return <WhyDead id={id} label={label} asks={asks.noVoltage} />;
  if (standingOrder !== 'should be on' || activity !== 'not drawing') return null;
  return <WhyDead id={id} label={label} asks={asks.notDrawing} />;
}

function CircuitRow(props: CircuitRowProps) {
  const { circuit, labels, more } = props;
  const { breaker, legs, amps, watts, loadRatio, activity, habits } = circuit;
  return (
    <tr role="row" data-activity={activity.replace(' ', '-')}>
      <td role="cell" class="circuit-position">
        {circuit.position ?? DASH}
      </td>
      <th role="rowheader" scope="row" class="circuit-label">
        {more === undefined ? (
          circuit.label
        ) : (
          <a class="circuit-open" id={`open-${circuit.id}`} href={more.hrefOf(circuit.id)}>
            {circuit.label}
          </a>
        )}
        {more?.namesBus === true && (
          <span class="circuit-habit">{texts.circuits.onBus(labelOf(labels, circuit.bus))}</span>
        )}
      </th>
      <td role="cell" class="circuit-breaker">
        {withUnit(breaker.ampsRated, 0, 'A')}
        {breaker.kind !== 'fuse' && <span class="narrow-only"> {words.breakerWord}</span>}
        {breaker.kind !== 'UL 489' && <span> {words.breakerKind[breaker.kind]}</span>}
      </td>
      <td role="cell" class="circuit-leg">
        <span class="narrow-only">{words.legWord} </span>
        {legsText(legs)}
      </td>
      <td role="cell" class="circuit-load">
        <KnownValue known={amps} unit="A" decimals={1} />
        {watts.value !== null && (
          <span class="circuit-watts">
            <KnownValue known={watts} unit="W" decimals={0} />
          </span>
        )}
        {habits.runningAmps !== null && (
          <span class="circuit-habit">{words.usually(withUnit(habits.runningAmps, 1, 'A'))}</span>
        )}
      </td>
      <td role="cell" class="circuit-share" data-unknown={loadRatio.value === null}>
        <ShareBar ratio={loadRatio} isRated />
      </td>
      {more !== undefined && (
        <td role="cell" class="circuit-energy">
          <span class="narrow-only">{texts.circuits.energyWord} </span>
          {more.energyOf(circuit)}
        </td>
      )}
      <td role="cell" class="circuit-activity" data-unknown={activity === 'unknown'}>
        <Activity {...props} />
        <LastHour {...habits.lastHour} />
        <Question circuit={circuit} />
      </td>
      <td role="cell" class="circuit-note">
        {notesOf(props).join(' ')}
      </td>
    </tr>
  );
}

export interface ScheduleProps {
  /** What the table is called for the ears. */
  caption: string;
  circuits: readonly CircuitState[];
  panel: PanelState;
  labels: ReadonlyMap<string, string>;
  more?: ScheduleMore;
}

/** The roles are written out because a narrow page lays the rows out as a grid. */
export function Schedule({ caption, circuits, panel, labels, more }: ScheduleProps) {
  if (circuits.length === 0) return <p class="soft">{words.noCircuits}</p>;
  return (
    <table role="table" class={more === undefined ? 'schedule' : 'schedule with-energy'}>
      <caption class="for-ears">{caption}</caption>
      <thead role="rowgroup">
        <tr role="row">
          {(more === undefined ? HEADS : HEADS_WITH_ENERGY).map((head) => (
            <th role="columnheader" scope="col" key={head}>
              {head}
            </th>
          ))}
        </tr>
      </thead>
      <tbody role="rowgroup">
        {circuits.map((circuit) => (
          <CircuitRow
            key={circuit.id}
            circuit={circuit}
            nowMs={panel.atMs}
            labels={labels}
            {...(more === undefined ? {} : { more })}
          />
        ))}
      </tbody>
    </table>
  );
}
