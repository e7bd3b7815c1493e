/**
 * What a person does about an alert with one touch: whose name it is done under, what is under way,
 * what went wrong. What needs more than a name has a form, see saying.ts.
 */
import { batch, signal } from '@preact/signals';
import type { Alert } from '../daemon/api/contract.ts';
import { postAct } from './api.ts';
import { focusAlert } from './focus.ts';
import { takeAnswered } from './live.ts';
import type { QuickAct } from './models/alert-acts.ts';
import { keepName, ownName } from './own-name.ts';

/** An act that waits for a name. */
export interface Asked {
  alert: Alert;
  act: QuickAct;
}

/** What the name is asked for: an act, or only to change it; null: nobody is asked. */
export const naming = signal<{ asked: Asked | null } | null>(null);
/** What is on its way to the boat, by alert. */
export const underWay = signal<ReadonlyMap<string, QuickAct>>(new Map());
/** What went wrong at the last try, by alert. */
export const refusals = signal<ReadonlyMap<string, string>>(new Map());

function without<T>(map: ReadonlyMap<string, T>, key: string): Map<string, T> {
  return new Map([...map].filter(([own]) => own !== key));
}

async function send({ alert, act }: Asked, by: string): Promise<void> {
  underWay.value = new Map([...underWay.value, [alert.id, act]]);
  const said = await postAct(alert.id, act, { by });
  batch(() => {
    underWay.value = without(underWay.value, alert.id);
    const left = without(refusals.value, alert.id);
    if (said.ok) takeAnswered(said.answer.alert);
    else left.set(alert.id, said.problem);
    refusals.value = left;
  });
  // The button that held the focus is gone, and the alert may stand elsewhere now.
  if (said.ok) focusAlert(alert.id);
}

/** Does it, or asks for a name first. */
export async function actOn(asked: Asked): Promise<void> {
  if (underWay.value.has(asked.alert.id)) return;
  if (ownName.value === '') naming.value = { asked };
  else await send(asked, ownName.value);
}

/** The answer to the question for a name: keeps it, and does what it was asked for. */
export async function answerNaming(name: string): Promise<void> {
  const asked = naming.value?.asked ?? null;
  keepName(name);
  naming.value = null;
  if (asked !== null) await send(asked, name);
}
