/** The buttons of what a person can do about an alert as it stands. */
import type { Alert } from '../../daemon/api/contract.ts';
import { visitor } from '../access.ts';
import { actOn, underWay } from '../acting.ts';
import { actsOn, type ActName, type FormAct, type QuickAct } from '../models/alert-acts.ts';
import { allowedActs } from '../models/roles.ts';
import { askedFor } from '../saying.ts';
import { texts } from '../texts.ts';

const words = texts.acts;

function QuickButton({ alert, act }: { alert: Alert; act: QuickAct }) {
  const doing = underWay.value.get(alert.id);
  const label = words.label[act];
  return (
    <button
      type="button"
      class={act === 'acknowledge' ? 'act' : undefined}
      aria-disabled={doing !== undefined}
      aria-label={words.of(label, alert.title)}
      onClick={() => void actOn({ alert, act })}
    >
      {doing === act ? words.doing[act] : label}
    </button>
  );
}

/** What is put away already gets another end, or another review. */
function formLabel({ shelved, outOfService }: Alert, act: FormAct): string {
  if (act === 'shelve' && shelved !== undefined) return words.shelveAnew;
  if (act === 'out-of-service' && outOfService !== undefined) return words.reviewAnew;
  return words.label[act];
}

/** Opens its form; nothing is sent yet. */
function FormButton({ alert, act }: { alert: Alert; act: FormAct }) {
  const label = formLabel(alert, act);
  return (
    <button
      type="button"
      class={act === 'inspected' ? 'act' : undefined}
      aria-haspopup="dialog"
      aria-label={words.of(label, alert.title)}
      onClick={() => {
        askedFor.value = { of: act, alert };
      }}
    >
      {label}
    </button>
  );
}

const isForm = (act: ActName): act is FormAct =>
  act === 'inspected' || act === 'shelve' || act === 'out-of-service';

export function AlertActs({ alert }: { alert: Alert }) {
  return (
    <>
      {allowedActs(actsOn(alert), visitor.value).map((act) =>
        isForm(act) ? (
          <FormButton key={act} alert={alert} act={act} />
        ) : (
          <QuickButton key={act} alert={alert} act={act} />
        ),
      )}
    </>
  );
}
