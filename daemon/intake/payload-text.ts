/** From bytes of a stranger to text and to JSON, or to the reason why not. Pure; never throws. */
import type { Refusal } from './refusals.ts';

/** Largest MQTT payload and largest open marine data frame that is read. */
export const MOST_PAYLOAD_BYTES = 64 * 1024;
const DEEPEST_JSON = 32;
const UTF8 = new TextDecoder('utf-8', { fatal: true });

/** The text without blanks around it. */
export function readText(bytes: Uint8Array): { text: string } | { refusal: Refusal } {
  if (bytes.byteLength > MOST_PAYLOAD_BYTES) {
    return { refusal: { reason: 'payload too large', found: `${bytes.byteLength} bytes` } };
  }
  try {
    const text = UTF8.decode(bytes).trim();
    return text === '' ? { refusal: { reason: 'empty payload' } } : { text };
  } catch {
    return { refusal: { reason: 'not UTF-8' } };
  }
}

/** JSON with its depth looked at first. Of a key given twice the last counts, as in `JSON.parse`. */
export function parseJson(text: string): { value: unknown } | { refusal: Refusal } {
  if (isTooDeep(text)) return { refusal: { reason: 'too deep' } };
  try {
    return { value: JSON.parse(text) as unknown };
  } catch {
    return { refusal: { reason: 'not JSON' } };
  }
}

/** Too few brackets for it need no closer look: so it is with what sensors send. */
function isTooDeep(text: string): boolean {
  let opened = 0;
  for (let at = 0; at < text.length; at += 1) {
    const code = text.charCodeAt(at);
    if (code === 0x5b || code === 0x7b) opened += 1;
  }
  return opened > DEEPEST_JSON && isNestedTooDeep(text);
}

/**
 * One pass over the text, whatever it holds. Brackets inside strings count for nothing; broken
 * JSON is left for the parser to refuse.
 */
function isNestedTooDeep(text: string): boolean {
  let depth = 0;
  let isInString = false;
  for (let at = 0; at < text.length; at += 1) {
    const char = text[at];
    if (char === '"') isInString = !isInString;
    else if (isInString) at += char === '\\' ? 1 : 0;
    else if (char === '[' || char === '{') depth += 1;
    else if (char === ']' || char === '}') depth -= 1;
    if (depth > DEEPEST_JSON) return true;
  }
  return false;
}
