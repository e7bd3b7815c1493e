/** Reads what the simulator sends, by JSON Pointer (RFC 6901) followed by hand. */

/** The value that `pointer` finds in JSON text; undefined where it finds nothing. */
export function valueAt(text: string, pointer: string): unknown {
  let at: unknown = JSON.parse(text);
  for (const token of pointer.split('/').slice(1)) {
    const key = token.replaceAll('~1', '/').replaceAll('~0', '~');
    if (typeof at !== 'object' || at === null) return undefined;
    at = Reflect.get(at, key);
  }
  return at;
}

/** As `valueAt`; throws where that is no number. */
export function numberAt(text: string, pointer: string): number {
  const value = valueAt(text, pointer);
  if (typeof value !== 'number') throw new Error(`no number at ${pointer} in ${text}`);
  return value;
}

/** Timestamp of a delta's first update, milliseconds. */
export function stampOf(delta: string): number {
  return Date.parse(String(valueAt(delta, '/updates/0/timestamp')));
}
