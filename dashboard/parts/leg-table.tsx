/** Load of each leg of a source or bus against its rating. */
import type { BusState, LegState } from '../../daemon/api/contract.ts';
import { decimalsOf, withUnit, type ElectricalSystem } from '../format.ts';
import { texts } from '../texts.ts';
import { KnownValue } from './known-value.tsx';
import { ShareBar } from './share-bar.tsx';

const words = texts.legs;

export interface LegTableProps {
  label: string;
  system: ElectricalSystem;
  legs: readonly LegState[];
  /** What no circuit's meter explains; only buses have it. */
  unmetered?: BusState['unmeteredAmps'];
}

function Room({ leg }: { leg: LegState }) {
  const { value } = leg.headroomAmps;
  if (value !== null && value < 0) return <>{words.excess(withUnit(-value, 1, 'A'))}</>;
  return (
    <>
      <span class="narrow-only">{words.roomFor} </span>
      <KnownValue known={leg.headroomAmps} unit="A" decimals={1} />
    </>
  );
}

function LegRow({
  leg,
  system,
  unmetered,
}: Omit<LegTableProps, 'legs' | 'label'> & { leg: LegState }) {
  const rest = unmetered?.find((one) => one.leg === leg.leg)?.amps;
  const isRated = leg.ampsRated !== null;
  return (
    <tr role="row">
      <th role="rowheader" scope="row" class="leg-name">
        {leg.leg}
      </th>
      <td role="cell" class="leg-volts">
        <KnownValue known={leg.volts} unit="V" decimals={decimalsOf('V', system)} />
      </td>
      <td role="cell" class="leg-amps">
        <KnownValue
          known={leg.amps}
          unit="A"
          decimals={1}
          rating={leg.ampsRated}
          ratingDecimals={0}
        />
      </td>
      <td role="cell" class="leg-share" data-unknown={isRated && leg.loadRatio.value === null}>
        <ShareBar ratio={leg.loadRatio} isRated={isRated} />
      </td>
      <td role="cell" class="leg-room" data-unknown={leg.headroomAmps.value === null}>
        {isRated && <Room leg={leg} />}
      </td>
      {unmetered !== undefined && (
        <td
          role="cell"
          class="leg-unmetered"
          data-unknown={rest === undefined || rest.value === null}
        >
          {rest !== undefined && (
            <>
              <span class="narrow-only">{words.unmeteredIs} </span>
              <KnownValue known={rest} unit="A" decimals={1} />
            </>
          )}
        </td>
      )}
    </tr>
  );
}

/** The roles are written out because a narrow page lays the rows out as a grid. */
export function LegTable(props: LegTableProps) {
  const { label, legs, unmetered } = props;
  const heads = [words.leg, words.volts, words.amps, words.share, words.room];
  if (unmetered !== undefined) heads.push(words.unmetered);
  return (
    <table role="table" class="legs">
      <caption class="for-ears">{words.caption(label)}</caption>
      <thead role="rowgroup">
        <tr role="row">
          {heads.map((head) => (
            <th role="columnheader" scope="col" key={head}>
              {head}
            </th>
          ))}
        </tr>
      </thead>
      <tbody role="rowgroup">
        {legs.map((leg) => (
          <LegRow
            key={leg.leg}
            leg={leg}
            system={props.system}
            {...(unmetered === undefined ? {} : { unmetered })}
          />
        ))}
      </tbody>
    </table>
  );
}
