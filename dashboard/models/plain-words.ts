/** The boat without figures, for somebody who has never been aboard. Pure. */
import type {
  Alert,
  BatteryState,
  BusState,
  PanelState,
  SourceState,
} from '../../daemon/api/contract.ts';

export type Supply = SourceState['kind'] | 'battery' | 'nothing' | 'unknown';

function supplyOf(bus: BusState, panel: PanelState): Supply {
  if (!bus.fedByIsKnown) return 'unknown';
  if (bus.fedBy === null) return 'nothing';
  const source = panel.sources.find(({ id }) => id === bus.fedBy);
  return source?.kind ?? 'battery';
}

/** What feeds the outlets and large appliances (AC) and what the lights and pumps (DC), each once. */
export function suppliesOf(panel: PanelState, system: 'ac' | 'dc'): Supply[] {
  const buses = panel.buses.filter((bus) => bus.system === system);
  return [...new Set(buses.map((bus) => supplyOf(bus, panel)))];
}

export type Length =
  'hardly' | 'some hours' | 'a night' | 'more than a day' | 'charging' | 'unknown';

/** How long a battery surely lasts, by the low end of its range. */
export function lengthOf({ hoursLeft, amps }: BatteryState): Length {
  if (amps.value !== null && amps.value > 0) return 'charging';
  if (hoursLeft === null) return 'unknown';
  if (hoursLeft.low < 2) return 'hardly';
  if (hoursLeft.low < 10) return 'some hours';
  return hoursLeft.low < 24 ? 'a night' : 'more than a day';
}

/** What an alert is about, as far as that takes no figures: null where its title has some. */
export function plainTitle({ title }: Pick<Alert, 'title'>): string | null {
  const start = title.split(/[:;]/)[0]?.trim() ?? '';
  return start === '' || /\d/.test(start) ? null : start;
}

/** What may harm somebody who does nothing. */
export const isUrgent = ({ priority }: Pick<Alert, 'priority'>): boolean =>
  priority === 'emergency alarm' || priority === 'alarm';
