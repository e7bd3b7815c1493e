/** Until when each battery lasts, as a range of time of day and of hours. */
import type { BatteryState } from '../../daemon/api/contract.ts';
import { clockText, fixed } from '../format.ts';
import { lastingOf } from '../models/lasting.ts';
import { texts } from '../texts.ts';

const words = texts.lasting;

function Answer({ battery, nowMs }: { battery: BatteryState; nowMs: number }) {
  const lasting = lastingOf(battery, nowMs);
  if (lasting === null || battery.hoursLeft === null) {
    return <p>{battery.hoursLeftBecause === '' ? words.unknown : battery.hoursLeftBecause}</p>;
  }
  const from = clockText(lasting.fromMs, nowMs);
  const hours = texts.battery.hours(battery.hoursLeft);
  return (
    <>
      <p class="lasting-until">
        {lasting.toMs === null
          ? words.after(from)
          : words.until(from, clockText(lasting.toMs, nowMs))}
      </p>
      <p class="soft">{words.hours(hours, fixed(battery.floorRatio * 100, 0))}</p>
    </>
  );
}

export function LastingLines({
  batteries,
  nowMs,
}: {
  batteries: readonly BatteryState[];
  nowMs: number;
}) {
  return (
    <>
      {batteries.map((battery) => (
        <div class="lasting" key={battery.id}>
          <h3>{words.heading(battery.label)}</h3>
          <Answer battery={battery} nowMs={nowMs} />
        </div>
      ))}
    </>
  );
}
