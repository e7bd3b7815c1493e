/** Which topics the embedded broker takes from clients, and which filters it lets them read. Pure. */
import type { RefusalReason } from './refusals.ts';

const LONGEST_TOPIC = 256;
const MOST_LEVELS = 10;
// Control characters are forbidden or discouraged in topics by MQTT 3.1.1 section 1.5.3.
const NOT_IN_A_TOPIC = /[\p{Cc}\u{FFFD}]/u;

/** Why nobody may publish to this topic; undefined: they may. */
export function whyNotPublish(topic: string): RefusalReason | undefined {
  if (topic === '' || topic.startsWith('$') || /[+#]/.test(topic)) return 'topic not allowed';
  return whyNotTopic(topic);
}

/**
 * Why nobody may subscribe to this filter; undefined: they may. A wildcard at the first level
 * would send the whole boat to one client, and one slow client would then slow down everybody.
 */
export function whyNotSubscribe(filter: string): RefusalReason | undefined {
  if (/^(?:[$#+]|$)/.test(filter)) return 'subscription not allowed';
  return whyNotTopic(filter);
}

function whyNotTopic(topic: string): RefusalReason | undefined {
  if (NOT_IN_A_TOPIC.test(topic)) return 'topic not allowed';
  if (topic.length > LONGEST_TOPIC || topic.split('/').length > MOST_LEVELS) {
    return 'topic too long';
  }
  return undefined;
}
