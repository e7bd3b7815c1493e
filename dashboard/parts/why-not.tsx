/** Why this visitor is not offered what others are, in one short line. */
import { visitor } from '../access.ts';
import { mayChange, maySay } from '../models/roles.ts';
import { texts } from '../texts.ts';

const words = texts.access;

/** Below the open alerts. */
export function WhyNoActs() {
  const who = visitor.value;
  if (mayChange(who)) return null;
  return <p class="soft why-not">{maySay(who) ? words.needsTechnician : words.needsCrew}</p>;
}
