/** Whether messages can be shown in this browser, as far as the browser itself tells. Pure. */

export interface PushAbilities {
  /** Null: the boat sends nothing by push. */
  pushKey: string | null;
  /** The page came over https, or is on the boat's own computer. */
  isSecure: boolean;
  hasPush: boolean;
  permission: 'default' | 'denied' | 'granted';
  /** The browser has asked to be told; null while that is not known yet. */
  isSubscribed: boolean | null;
}

export type PushState =
  /** Nothing to say. */
  'none' | 'not secure' | 'not able' | 'forbidden' | 'offered' | 'told';

export function pushStateOf(can: PushAbilities): PushState {
  if (can.pushKey === null) return 'none';
  if (!can.isSecure) return 'not secure';
  if (!can.hasPush) return 'not able';
  if (can.permission === 'denied') return 'forbidden';
  if (can.isSubscribed === null) return 'none';
  return can.isSubscribed ? 'told' : 'offered';
}

/** Why a browser did not subscribe: by the names of the Push API, section 5.1.2 of the W3C draft. */
export type PushTrouble = 'forbidden' | 'no service' | 'not kept' | 'other';

export function troubleOf(error: unknown): PushTrouble {
  const name = error instanceof Error || error instanceof DOMException ? error.name : '';
  if (name === 'NotAllowedError') return 'forbidden';
  if (name === 'AbortError') return 'no service';
  return name === 'TimeoutError' ? 'not kept' : 'other';
}
