/** What can still go on: room on each source, and the boat's own appliances in piles. */
import type { LoadAnswer, LoadPlan, PanelState, SourceRoom } from '../../daemon/api/contract.ts';
import { askLoadPlan } from '../api.ts';
import { useAsked } from '../asking.ts';
import { withUnit } from '../format.ts';
import { labelOf, labelsOf } from '../models/feeding.ts';
import { PILES, pilesOf, type Pile } from '../models/load-piles.ts';
import { texts } from '../texts.ts';
import { FitMark } from './fit-mark.tsx';
import { LastingLines } from './lasting-line.tsx';
import { Problem } from './problem.tsx';

const words = texts.room;
const AGAIN_MS = 4_000;

type Labels = ReadonlyMap<string, string>;

const named = (ids: readonly string[], labels: Labels): string =>
  texts.list.and(ids.map((id) => labelOf(labels, id)));

function LegRoom({ leg, isOnly }: { leg: SourceRoom['legs'][number]; isOnly: boolean }) {
  const { ampsRoom, ampsNow, ampsRated, ampsReserved } = leg;
  const room =
    ampsRoom === null
      ? words.unknown
      : ampsRoom < 1
        ? words.noRoom
        : withUnit(Math.floor(ampsRoom), 0, 'A');
  const now = ampsNow === null ? words.unknown : withUnit(ampsNow, 1, 'A');
  return (
    <li data-room={ampsRoom === null ? 'unknown' : ampsRoom < 1 ? 'none' : 'some'}>
      <span class="room-amps number">{room}</span>
      {!isOnly && <span> {words.legRoom(leg.leg)}</span>}
      <span class="soft room-detail">
        {words.detail(now, withUnit(ampsRated, 0, 'A'))}
        {ampsReserved > 0 && `, ${words.kept(withUnit(ampsReserved, 1, 'A'))}`}
      </span>
    </li>
  );
}

function Room({ room, labels }: { room: SourceRoom; labels: Labels }) {
  return (
    <div class="room-source">
      <h3>{words.source(labelOf(labels, room.source))}</h3>
      <ul class="room-legs">
        {room.legs.map((leg) => (
          <LegRoom key={leg.leg} leg={leg} isOnly={room.legs.length === 1} />
        ))}
      </ul>
      {room.reservedFor.length > 0 && (
        <p class="soft">{words.keptFor(named(room.reservedFor, labels))}</p>
      )}
    </div>
  );
}

function conditionOf({ ifOff, first }: LoadAnswer, labels: Labels): string {
  const conditions: string[] = [];
  if (ifOff.length > 0) {
    const names = ifOff.map((id) => labelOf(labels, id)).join(words.andAlso);
    conditions.push(ifOff.length === 1 ? words.ifOff(names) : words.ifOffMany(names));
  }
  if (first.length > 0) conditions.push(words.first(named(first, labels)));
  return conditions.join(', ');
}

function PileList({ pile, answers, labels }: PileProps) {
  const heading = `pile-${pile.replaceAll(' ', '-')}`;
  return (
    <div class="pile" data-pile={pile.replaceAll(' ', '-')}>
      <h3 id={heading}>
        <FitMark pile={pile} /> {words.pile[pile]}
      </h3>
      {answers.length === 0 && <p class="soft">{words.nothingIn}</p>}
      <ul aria-labelledby={heading}>
        {answers.map((answer) => {
          const condition = conditionOf(answer, labels);
          return (
            <li key={`${answer.circuit} ${answer.appliance ?? ''}`}>
              <strong>{answer.label}</strong>
              {condition !== '' && <span> {condition}</span>}
            </li>
          );
        })}
      </ul>
    </div>
  );
}

interface PileProps {
  pile: Pile;
  answers: readonly LoadAnswer[];
  labels: Labels;
}

function Reckoning({ answers }: { answers: readonly LoadAnswer[] }) {
  return (
    <details class="reckoning">
      <summary>{words.because}</summary>
      <ul>
        {answers.map(({ circuit, appliance, label, amps, from, verdict, because }) => (
          <li key={`${circuit} ${appliance ?? ''}`}>
            <strong>{label}</strong> ({words.basis(withUnit(amps, 1, 'A'), words.from[from])}):{' '}
            {words.verdict[verdict]}. {because}
          </li>
        ))}
      </ul>
    </details>
  );
}

function Plan({ plan, labels }: { plan: LoadPlan; labels: Labels }) {
  const piles = pilesOf(plan);
  const others = piles.get('other') ?? [];
  return (
    <>
      {plan.rooms.length === 0 && <p class="soft">{words.none}</p>}
      {plan.rooms.map((room) => (
        <Room key={room.source} room={room} labels={labels} />
      ))}
      {PILES.filter((pile) => pile !== 'other').map((pile) => (
        <PileList key={pile} pile={pile} answers={piles.get(pile) ?? []} labels={labels} />
      ))}
      {others.length > 0 && (
        <details class="pile-others">
          <summary>{words.pile.other}</summary>
          <ul>
            {others.map(({ circuit, appliance, label, because }) => (
              <li key={`${circuit} ${appliance ?? ''}`}>
                <strong>{label}</strong>: {because}
              </li>
            ))}
          </ul>
        </details>
      )}
      <Reckoning answers={plan.answers} />
      <p class="soft room-caution">{words.caution}</p>
    </>
  );
}

export function LoadPlanBlock({ panel }: { panel: PanelState }) {
  const labels = labelsOf(panel);
  const { answer, problem, again } = useAsked(askLoadPlan, [], AGAIN_MS);
  return (
    <section class="room" aria-labelledby="room-heading">
      <h2 id="room-heading">{words.heading}</h2>
      {problem !== null && <Problem text={problem} again={again} />}
      {answer === null && problem === null && <p class="soft">{texts.loading}</p>}
      {answer !== null && problem === null && <Plan plan={answer} labels={labels} />}
      <LastingLines batteries={panel.batteries} nowMs={panel.atMs} />
    </section>
  );
}
