/** Which topics the embedded broker takes from clients, and which filters it lets them read. Pure. */
import type { RefusalReason } from './refusals.ts';

const LONGEST_TOPIC = 256;
const MOST_LEVELS = 10;
const SLASH = 0x2f;

/** Why nobody may publish to this topic; undefined: they may. Asked for every message. */
export function whyNotPublish(topic: string): RefusalReason | undefined {
  if (topic === '' || topic.startsWith('$') || topic.includes('+') || topic.includes('#')) {
    return 'topic not allowed';
  }
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
  let levels = 1;
  for (let at = 0; at < topic.length; at += 1) {
    const code = topic.charCodeAt(at);
    if (code === SLASH) levels += 1;
    else if (isForbidden(code)) return 'topic not allowed';
  }
  return topic.length > LONGEST_TOPIC || levels > MOST_LEVELS ? 'topic too long' : undefined;
}

/** Control characters, forbidden or discouraged in topics by MQTT 3.1.1 section 1.5.3; U+FFFD. */
function isForbidden(code: number): boolean {
  return code < 0x20 || (code >= 0x7f && code <= 0x9f) || code === 0xfffd;
}
