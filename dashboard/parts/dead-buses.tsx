/** Each bus on which no voltage is seen, asked why at the top of the page and not far down. */
import type { PanelState } from '../../daemon/api/contract.ts';
import { liveOf } from '../models/feeding.ts';
import { texts } from '../texts.ts';
import { WhyDead } from './why-dead.tsx';

export function DeadBuses({ buses }: Pick<PanelState, 'buses'>) {
  const dead = buses.filter(({ legs }) => liveOf(legs) === 'dead');
  if (dead.length === 0) return null;
  return (
    <ul class="dead-buses">
      {dead.map(({ id, label }) => (
        <li key={id}>
          <WhyDead id={id} asks={texts.whyDead.noVoltageOn(label)} />
        </li>
      ))}
    </ul>
  );
}
