/** Takes an alert out of service for maintenance, with a reason and a day of review. */
import type { Alert } from '../../daemon/api/contract.ts';
import { REVIEW_LENGTHS_MS } from '../models/alert-acts.ts';
import { sayOutOfService } from '../saying.ts';
import { texts } from '../texts.ts';
import { ActCautions } from './act-cautions.tsx';
import { EndChoice, readEnd } from './end-choice.tsx';
import { readReason, ReasonField } from './reason-field.tsx';
import { SayingForm } from './saying-form.tsx';
import type { Filled } from './saying-form.tsx';

const words = texts.acts;
const WEEK_MS = 7 * 24 * 3_600_000;

export function ServiceForm({ alert }: { alert: Alert }) {
  const read = (form: FormData): Filled => {
    const reason = readReason(form);
    if (reason === '') return { problem: words.service.noReason };
    const reviewAtMs = readEnd(form);
    if (reviewAtMs === null) return { problem: words.notAnEnd };
    return { send: (by) => sayOutOfService(alert, reviewAtMs, reason, by) };
  };
  return (
    <SayingForm heading={words.service.heading} confirm={words.service.confirm} read={read}>
      <p class="naming-alert">{alert.title}</p>
      <p class="soft">{words.service.why}</p>
      <ActCautions alert={alert} />
      <ReasonField label={words.service.reason} written={alert.outOfService?.reason ?? ''} />
      <h3>{words.service.review}</h3>
      <EndChoice
        legend={words.service.review}
        lengthsMs={REVIEW_LENGTHS_MS}
        chosenMs={WEEK_MS}
        about={words.on}
      />
      <p class="soft">{words.service.reviewHint}</p>
    </SayingForm>
  );
}
