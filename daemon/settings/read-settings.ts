/**
 * YAML text to settings. Whatever is wrong comes back as lines for a person, all at once, each with
 * the place in the file: `file:line:column: what is wrong`. Never throws on any text.
 */
import { isNode, LineCounter, parseDocument } from 'yaml';
import type { Document } from 'yaml';
import type * as z from 'zod';

export type ReadSettings<Settings> = { settings: Settings } | { problems: string[] };

const MOST_CHARACTERS = 262_144;

/** The settings in `text`; `fileName` only goes into the problems. An empty file sets nothing. */
export function readSettings<Schema extends z.ZodType>(
  text: string,
  fileName: string,
  schema: Schema,
): ReadSettings<z.output<Schema>> {
  if (text.length > MOST_CHARACTERS) {
    return { problems: [`${fileName}: has more than ${MOST_CHARACTERS} characters`] };
  }
  const lines = new LineCounter();
  const document = parseDocument(text, {
    lineCounter: lines,
    stringKeys: true,
    logLevel: 'silent',
  });
  const at = (offset: number, message: string): string => {
    const { line, col } = lines.linePos(offset);
    return `${fileName}:${Math.max(1, line)}:${Math.max(1, col)}: ${message}`;
  };
  if (document.errors.length > 0) {
    return {
      problems: document.errors.map(({ pos, message }) =>
        at(pos[0], message.split('\n')[0]?.replace(/ at line .*$/, '') ?? 'not YAML'),
      ),
    };
  }
  const value = plainValue(document);
  if ('problem' in value) return { problems: [at(0, value.problem)] };
  const parsed = schema.safeParse(value.plain ?? {});
  if (parsed.success) return { settings: parsed.data };
  return {
    problems: parsed.error.issues.map((issue) => at(offsetOf(document, issue), wordsOf(issue))),
  };
}

/** Aliases that unfold without end make the library throw. */
function plainValue(document: Document): { plain: unknown } | { problem: string } {
  try {
    return { plain: document.toJS({ maxAliasCount: 20 }) };
  } catch (error) {
    return { problem: error instanceof Error ? error.message : String(error) };
  }
}

/** Where the value of an issue stands; of a missing one, its owner. */
function offsetOf(document: Document, issue: z.core.$ZodIssue): number {
  const [unknown] = issue.code === 'unrecognized_keys' ? issue.keys : [];
  const path = unknown === undefined ? issue.path : [...issue.path, unknown];
  for (let length = path.length; length > 0; length -= 1) {
    const found = document.getIn(path.slice(0, length), true);
    if (isNode(found) && found.range) return found.range[0];
  }
  return 0;
}

function wordsOf(issue: z.core.$ZodIssue): string {
  const where = issue.path.map(String).join('.');
  const owner = where === '' ? 'the settings' : `\`${where}\``;
  if (issue.code === 'unrecognized_keys') {
    return `${issue.keys.map((key) => `\`${key}\``).join(', ')}: no such key in ${owner}`;
  }
  return `${owner}: ${issue.message}`;
}
