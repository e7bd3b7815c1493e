/**
 * Every reason for which intake refuses something that a sensor, a client or a server sent. One
 * catalogue: counters, health and logs use these words, and the docs explain the same words.
 * A refusal is an operating error: counted, shown, never thrown.
 */
import type { PointId } from '../../rules/index.ts';

/** Reason to what it means and what to do about it, for a person. */
export const REFUSALS = {
  'payload too large':
    'A message or frame is larger than 64 KiB. A reading needs a few hundred bytes; split it.',
  'packet too large':
    'A client announced an MQTT packet larger than the broker takes, and was cut off before it was read.',
  'not MQTT': 'Bytes that are no valid MQTT packet; the connection was closed.',
  'not UTF-8': 'The payload or frame is not UTF-8 text.',
  'empty payload': 'The payload has no bytes but a point expects a value there.',
  'not JSON': 'The payload or frame is not valid JSON. NaN and Infinity are not JSON numbers.',
  'too deep': 'The JSON is nested deeper than 32 levels.',
  'pointer finds nothing':
    'The JSON has nothing at the point’s pointer. Compare the pointer in the boat file with the payload.',
  'not a number': 'A number is expected there, and something else stands there.',
  'decimal comma': 'The number has a decimal comma. Numbers take a point: 12.5.',
  'not finite': 'The number is infinite, not a number (nan), or too large to hold.',
  'unknown word':
    'The word is none of those that the boat file gives for this point. Words are compared exactly.',
  'impossible value':
    'The value is outside the point’s min and max. Check unit, scale and sign in the boat file.',
  duplicate: 'The same MQTT message delivered once more. It was taken once.',
  'older than the last': 'An open marine data value with an older timestamp than the last one.',
  'topic not allowed':
    'A topic that is empty, begins with $, or has a wildcard or control character in it.',
  'topic too long': 'A topic with more than 256 characters or more than 10 levels.',
  'too many messages': 'A client publishes faster than the broker takes; the message was dropped.',
  'no credentials':
    'A client from another computer gave no name and token. `panelward sensor-token NAME` makes them.',
  'wrong token':
    'A client gave a name that the settings do not have, or a token that is not that name’s.',
  'not its topic':
    'A sensor published to a topic that its settings do not list; the message was dropped.',
  'cut off':
    'A client went on publishing to the topics of others, or far faster than the broker takes, and its connection was ended.',
  'too many clients': 'The broker already serves as many clients as it may.',
  'client id too long': 'An MQTT client id has more than 128 characters.',
  'subscription not allowed':
    'A client asked for # or + at the first level, for a topic that begins with $, for one that its settings do not list, or for too many.',
  'slow subscriber':
    'A client does not read what it subscribed to; messages for it were dropped so that nobody waits.',
  'not retained':
    'A retained message was passed on but not kept, because the room for retained messages is used up.',
  'broker refuses subscription':
    'The outside broker does not let panelward read this topic. Check its access rules.',
  'not a delta': 'An open marine data frame or update that has not the shape of one.',
  'before hello': 'An open marine data delta that came before the server’s hello.',
  'other vessel': 'An open marine data delta about another vessel.',
  'forbidden path': 'A path with __proto__, constructor or prototype in it.',
  'other source':
    'The source of an open marine data value does not match the point’s source pattern.',
  'second source':
    'A second source speaks on a path whose point names none; only the first is used. Name one in the boat file.',
  'request to switch':
    'An open marine data server passed on a request to change something. panelward only informs.',
  'server message': 'The open marine data server sent a text or an error instead of values.',
} as const;

export type RefusalReason = keyof typeof REFUSALS;

export interface Refusal {
  reason: RefusalReason;
  /** The point that got no reading because of it, where there is one. */
  pointId?: PointId;
  /** What stood there, short and printable. */
  found?: string;
}

const LONGEST_EXCERPT = 40;

/** Text from outside, made fit for a log line or a page: one line, printable, short. */
export function printable(text: string, longest = LONGEST_EXCERPT): string {
  const line = text.slice(0, longest + 1).replace(/[\p{C}\p{Zl}\p{Zp}]/gu, '\u{FFFD}');
  return line.length > longest ? `${line.slice(0, longest)}…` : line;
}
