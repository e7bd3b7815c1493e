/** YAML's own complaints in words for somebody who writes a boat file now and then. */

const WORDS: Readonly<Record<string, string>> = {
  TAB_AS_INDENT: 'a tab stands where YAML wants spaces; indent with spaces only',
  BLOCK_AS_IMPLICIT_KEY:
    'a second colon with a space after it stands on this line; put text with a colon in quotes, or begin a new line',
  NON_STRING_KEY: 'a name must be plain text, found a map or a list in its place',
};

const ADVICE: Readonly<Record<string, string>> = {
  BAD_SCALAR_START: '; put the text in quotes',
  BAD_DQ_ESCAPE: '; use single quotes for text with a backslash',
};

/** One problem's message from the code and the message of the YAML library. */
export function yamlErrorWords(code: string, message: string): string {
  const own = WORDS[code];
  if (own !== undefined) return own;
  if (message.endsWith('at node end')) {
    return 'something stands behind the end of a value; text with [ ] { } or quotes in it must be in quotes as a whole';
  }
  return `not valid YAML: ${message}${ADVICE[code] ?? ''}`;
}
