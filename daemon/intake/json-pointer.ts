/**
 * JSON Pointer (RFC 6901), read only. Strict where payloads are hostile: it sees own members only,
 * never inherited ones (`/toString`, `/items/length`), and array indexes only as the RFC spells
 * them (section 4: digits without leading zeros; `-` is past the end and finds nothing).
 */

/**
 * The reference tokens of a pointer. `''` is the whole document: no tokens.
 * Throws RangeError if the text is no pointer; the boat file is checked before.
 */
export function parsePointer(pointer: string): string[] {
  if (pointer === '') return [];
  if (!pointer.startsWith('/') || /~(?![01])/.test(pointer)) {
    throw new RangeError(`not a JSON Pointer: ${JSON.stringify(pointer)}`);
  }
  // `~1` first, then `~0`, so that `~01` becomes `~1` and not `/` (RFC 6901 section 4).
  return pointer
    .slice(1)
    .split('/')
    .map((token) => token.replaceAll('~1', '/').replaceAll('~0', '~'));
}

/** The value at the tokens, or `undefined`, which JSON itself cannot hold. */
export function findByPointer(root: unknown, tokens: readonly string[]): unknown {
  let here: unknown = root;
  for (const token of tokens) {
    if (typeof here !== 'object' || here === null) return undefined;
    if (Array.isArray(here) && !/^(?:0|[1-9]\d*)$/.test(token)) return undefined;
    if (!Object.hasOwn(here, token)) return undefined;
    here = Reflect.get(here, token);
  }
  return here;
}
