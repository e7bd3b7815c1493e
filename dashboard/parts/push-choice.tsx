/**
 * Has messages of one contact shown in this browser, and stops it. Browsers offer that over https, or
 * on the boat's own computer; where one does not, it says why.
 */
import { useEffect, useState } from 'preact/hooks';
import type { WaysAnswer } from '../../daemon/api/contract.ts';
import { pushStateOf } from '../models/push-state.ts';
import { type Outcome, subscription, tellHere, tellNoMore } from '../push.ts';
import { texts } from '../texts.ts';

const words = texts.push;

const hasPush = 'PushManager' in globalThis && 'Notification' in globalThis;

function said(outcome: Outcome, done: string): string {
  if (outcome === null) return done;
  return 'trouble' in outcome ? words.trouble[outcome.trouble] : outcome.problem;
}

export function PushChoice({ pushKey, contacts }: Pick<WaysAnswer, 'pushKey' | 'contacts'>) {
  const [isSubscribed, setSubscribed] = useState<boolean | null>(null);
  const [status, setStatus] = useState<string | null>(null);
  const [isBusy, setBusy] = useState(false);
  const look = async () => setSubscribed((await subscription()) !== null);
  useEffect(() => {
    if (hasPush && isSecureContext) void look();
  }, []);
  const state = pushStateOf({
    pushKey,
    isSecure: isSecureContext,
    hasPush,
    permission: hasPush ? Notification.permission : 'default',
    isSubscribed,
  });
  if (pushKey === null || state === 'none') return null;
  const run = async (work: Promise<Outcome>, doing: string, done: string) => {
    setBusy(true);
    setStatus(doing);
    const outcome = await work;
    await look();
    setBusy(false);
    setStatus(said(outcome, done));
  };
  const why = state === 'offered' || state === 'told' ? null : words.why[state];
  return (
    <div role="group" aria-labelledby="push-heading">
      <h4 id="push-heading">{words.heading}</h4>
      {why !== null && <p class="soft">{why}</p>}
      {state === 'told' && <p>{words.told}</p>}
      {why === null && (
        <p class="push-choices">
          {contacts.map(({ id, name }) => (
            <button
              key={id}
              type="button"
              disabled={isBusy}
              onClick={() => void run(tellHere(pushKey, id), words.asking, words.isTold(name))}
            >
              {state === 'told' ? words.tellInstead(name) : words.tellHere(name)}
            </button>
          ))}
          {state === 'told' && (
            <button
              type="button"
              disabled={isBusy}
              onClick={() => void run(tellNoMore(), words.stopping, words.isToldNoMore)}
            >
              {words.tellNoMore}
            </button>
          )}
        </p>
      )}
      <p role="status">{status}</p>
    </div>
  );
}
