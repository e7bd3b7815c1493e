/** A battery bank in six numbers. */
import type { BatteryState } from '../../daemon/api/contract.ts';
import { DASH, fixed, withUnit } from '../format.ts';
import { flowOf } from '../models/load.ts';
import { texts } from '../texts.ts';
import { KnownValue } from './known-value.tsx';

const words = texts.battery;

export function BatteryBlock({ battery }: { battery: BatteryState }) {
  const flow = flowOf(battery.amps.value);
  return (
    <article class="block battery">
      <h3>
        {battery.label}{' '}
        <span class="kind">
          {words.capacity(
            withUnit(battery.voltsNominal, 0, 'V'),
            withUnit(battery.ampHours, 0, 'Ah'),
          )}
        </span>
      </h3>
      <dl class="numbers">
        <div>
          <dt>{words.charge}</dt>
          <dd>
            <KnownValue known={battery.stateOfCharge} unit="%" decimals={0} scale={100} />
          </dd>
        </div>
        <div>
          <dt>{words.volts}</dt>
          <dd>
            <KnownValue known={battery.volts} unit="V" decimals={2} />
          </dd>
        </div>
        <div>
          <dt>{words.amps}</dt>
          <dd>
            <KnownValue known={battery.amps} unit="A" decimals={1} />
            {flow !== null && <span class="soft"> {words.flow[flow]}</span>}
          </dd>
        </div>
        <div>
          <dt>{words.watts}</dt>
          <dd>
            <KnownValue known={battery.watts} unit="W" decimals={0} />
          </dd>
        </div>
        <div>
          <dt>{words.lasts(fixed(battery.floorRatio * 100, 0))}</dt>
          <dd>{battery.hoursLeft === null ? DASH : words.hours(battery.hoursLeft)}</dd>
        </div>
        <div>
          <dt>{words.celsius}</dt>
          <dd>
            <KnownValue known={battery.celsius} unit="°C" decimals={1} />
          </dd>
        </div>
      </dl>
      <p class="soft">{battery.hoursLeftBecause}</p>
    </article>
  );
}
