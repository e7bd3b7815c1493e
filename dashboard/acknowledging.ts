/** Acknowledging an alert: whose name it is done under, what is under way, what went wrong. */
import { batch, signal } from '@preact/signals';
import type { Alert } from '../daemon/api/contract.ts';
import { postAcknowledge } from './api.ts';
import { focusAlert } from './focus.ts';
import { takeAcknowledged } from './live.ts';
import { keepName, ownName } from './own-name.ts';

/** What the name is asked for: an alert, or only to change it; null: nobody is asked. */
export const naming = signal<{ alert: Alert | null } | null>(null);
export const underWay = signal<ReadonlySet<string>>(new Set());
/** What went wrong at the last try, by alert. */
export const refusals = signal<ReadonlyMap<string, string>>(new Map());

async function send(alert: Alert, by: string): Promise<void> {
  underWay.value = new Set([...underWay.value, alert.id]);
  const said = await postAcknowledge(alert.id, by);
  batch(() => {
    underWay.value = new Set([...underWay.value].filter((id) => id !== alert.id));
    const left = new Map(refusals.value);
    if (said.ok) {
      left.delete(alert.id);
      takeAcknowledged(said.answer.alert);
    } else left.set(alert.id, said.problem);
    refusals.value = left;
  });
  // The button that held the focus is gone.
  if (said.ok) focusAlert(alert.id);
}

/** Acknowledges, or asks for a name first. */
export async function acknowledge(alert: Alert): Promise<void> {
  if (underWay.value.has(alert.id)) return;
  if (ownName.value === '') naming.value = { alert };
  else await send(alert, ownName.value);
}

/** The answer to the question for a name: keeps it, and acknowledges what it was asked for. */
export async function answerNaming(name: string): Promise<void> {
  const alert = naming.value?.alert ?? null;
  keepName(name);
  naming.value = null;
  if (alert !== null) await send(alert, name);
}
