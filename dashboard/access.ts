/**
 * Who looks at this page, and signing in and out. Whenever somebody else looks, the page starts
 * anew: nothing of what the one before saw stays in it.
 */
import { effect, signal } from '@preact/signals';
import type { Visitor } from './models/roles.ts';
import { askVisitor, needed, postFresh, postSetUp, postSignIn, postSignOut } from './api.ts';
import { forgetLastKnown } from './last-known.ts';
import { mayLook } from './models/roles.ts';
import { speakAs } from './own-name.ts';

const ASK_AGAIN_AFTER_MS = 5_000;

/** Null until the boat has said so. */
export const visitor = signal<Visitor>(null);
/** Somebody who may look already wants to sign in. */
export const isAtDoor = signal(false);
/** A change was refused until the password is given once more. */
export const isPasswordWanted = signal(false);

async function learnVisitor(): Promise<void> {
  const said = await askVisitor();
  if (!said.ok) {
    setTimeout(() => void learnVisitor(), ASK_AGAIN_AFTER_MS);
    return;
  }
  visitor.value = said.answer;
  if (said.answer.person !== null) speakAs(said.answer.person);
  // What was kept for a start without the boat is not for whoever comes next.
  if (!mayLook(said.answer)) forgetLastKnown();
}

/** Learns who looks, now and whenever the boat refuses something for it. */
export function followVisitor(): void {
  void learnVisitor();
  effect(() => {
    const needs = needed.value?.needs;
    if (needs === undefined) return;
    if (needs === 'password again') isPasswordWanted.value = true;
    else void learnVisitor();
  });
}

/** Null where it worked, else why not, in words for a person. */
type Outcome = Promise<string | null>;

async function startAnew(asked: ReturnType<typeof postSignOut>): Outcome {
  const said = await asked;
  if (!said.ok) return said.problem;
  forgetLastKnown();
  location.reload();
  return null;
}

export const signIn = (name: string, password: string): Outcome =>
  startAnew(postSignIn({ name, password }));

export const setUp = (code: string, name: string, password: string): Outcome =>
  startAnew(postSetUp({ code: code.replaceAll(/\s/g, ''), name, password }));

export const signOut = (): Outcome => startAnew(postSignOut());

/** Gives the password once more; what was refused can then be tried again. */
export async function proveAgain(password: string): Outcome {
  const said = await postFresh({ password });
  if (!said.ok) return said.problem;
  visitor.value = said.answer;
  isPasswordWanted.value = false;
  return null;
}
