/** Puts an alert away for a time. */
import type { Alert } from '../../daemon/api/contract.ts';
import { shelveLengthsMs, shelveMostMs } from '../models/alert-acts.ts';
import { sayShelve } from '../saying.ts';
import { texts } from '../texts.ts';
import { EndChoice, readEnd } from './end-choice.tsx';
import { readReason, ReasonField } from './reason-field.tsx';
import { SayingForm } from './saying-form.tsx';
import type { Filled } from './saying-form.tsx';

const words = texts.acts;
const HOUR_MS = 3_600_000;

export function ShelveForm({ alert }: { alert: Alert }) {
  const read = (form: FormData): Filled => {
    const untilMs = readEnd(form);
    if (untilMs === null) return { problem: words.notAnEnd };
    return { send: (by) => sayShelve(alert, untilMs, readReason(form), by) };
  };
  return (
    <SayingForm heading={words.shelve.heading} confirm={words.shelve.confirm} read={read}>
      <p class="naming-alert">{alert.title}</p>
      <p class="soft">{words.shelve.why(shelveMostMs(alert) / HOUR_MS)}</p>
      <EndChoice
        legend={words.shelve.heading}
        lengthsMs={shelveLengthsMs(alert)}
        chosenMs={HOUR_MS}
        about={words.until}
      />
      <ReasonField label={words.shelve.reason} written={alert.shelved?.reason ?? ''} />
    </SayingForm>
  );
}
