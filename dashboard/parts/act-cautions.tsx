/** What to mind before touching what an alert is about: its own cautions, and those of any such work. */
import type { Alert } from '../../daemon/api/contract.ts';
import { texts } from '../texts.ts';

const words = texts.acts;

export function ActCautions({ alert }: { alert: Alert }) {
  const cautions = [...new Set([...alert.cautions, ...words.cautions])];
  return (
    <div class="cautions">
      <h3>{words.cautionsLabel}</h3>
      <ul>
        {cautions.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </div>
  );
}
