/** Says that somebody has looked at what an alert was about; the cautions stand beside it. */
import type { Alert } from '../../daemon/api/contract.ts';
import { sayInspected } from '../saying.ts';
import { texts } from '../texts.ts';
import { ActCautions } from './act-cautions.tsx';
import { SayingForm } from './saying-form.tsx';
import type { Filled } from './saying-form.tsx';

const words = texts.acts;

export function InspectedForm({ alert }: { alert: Alert }) {
  const read = (): Filled => ({ send: (by) => sayInspected(alert, by) });
  return (
    <SayingForm heading={words.inspected.heading} confirm={words.inspected.confirm} read={read}>
      <p class="naming-alert">{alert.title}</p>
      <p>{words.inspected.why}</p>
      <ActCautions alert={alert} />
    </SayingForm>
  );
}
