/** Has messages of one contact shown in this browser. Browsers offer that over https, or on the boat's own computer. */
import { useState } from 'preact/hooks';
import type { WaysAnswer } from '../../daemon/api/contract.ts';
import { postPushSubscription } from '../api.ts';
import { texts } from '../texts.ts';

const words = texts.health;

async function subscribed(pushKey: string, contact: string): Promise<string> {
  try {
    const { pushManager } = await navigator.serviceWorker.ready;
    const options = { userVisibleOnly: true, applicationServerKey: pushKey };
    const { endpoint, keys } = (await pushManager.subscribe(options)).toJSON();
    const { p256dh = '', auth = '' } = keys ?? {};
    const answered = await postPushSubscription({
      endpoint: endpoint ?? '',
      keys: { p256dh, auth },
      contact,
    });
    return answered.ok ? words.isTold : answered.problem;
  } catch {
    return words.cannotBeTold;
  }
}

export function PushChoice({ pushKey, contacts }: Pick<WaysAnswer, 'pushKey' | 'contacts'>) {
  const [said, setSaid] = useState<string | null>(null);
  if (pushKey === null || !isSecureContext || !('PushManager' in globalThis)) return null;
  return (
    <>
      {contacts.map(({ id, name }) => (
        <button key={id} type="button" onClick={() => void subscribed(pushKey, id).then(setSaid)}>
          {words.tellHere(name)}
        </button>
      ))}
      <p role="status">{said}</p>
    </>
  );
}
