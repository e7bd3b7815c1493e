/**
 * YAML text to plain values that remember where they stand. Only the part of YAML that a boat file
 * needs: no anchors, aliases, tags, directives or second documents. Depth is bounded while lexing:
 * the composer recurses, and near the end of the stack V8's regular expressions end the process.
 */
import { Composer, CST, isMap, isScalar, isSeq, Lexer, Parser } from 'yaml';
import type { Document, Pair, YAMLMap } from 'yaml';
import { lineIndex } from './line-index.ts';
import type { LineAndColumn } from './line-index.ts';
import type { Problem } from './problem.ts';
import { shown } from './words.ts';
import { yamlErrorWords } from './yaml-words.ts';

/** One value of the file and where it stands. */
export interface Placed {
  /** Text, number, true, false or null; an object without prototype for a map; an array for a list. */
  value: unknown;
  /** Where the value begins; where its key begins if the value is left empty. */
  offset: number;
  keyOffset: number;
  /** Of a scalar: as it stands in the file, without its quotes. */
  source?: string;
  /** An alias or tagged: said already, and whatever else is wrong with it follows from that. */
  isRefused?: true;
  /** By key, in the order of the file; a list's by index. Absent for scalars. */
  children?: Map<string, Placed>;
}

export interface YamlTree {
  /** Null when the text is no YAML that could be trusted. */
  root: Placed | null;
  problems: Problem[];
  /** Line and column, from 1, of a place in the text. */
  lineAndColumn: (offset: number) => LineAndColumn;
}

const MOST_CHARACTERS = 1_048_576;
const DEEPEST = 32;

type Say = (offset: number, message: string) => void;

/** Reads YAML 1.2. Every problem is an error and stands in `problems`; nothing is thrown. */
export function readYamlTree(text: string, file: string): YamlTree {
  const lineAndColumn = lineIndex(text);
  const problems: Problem[] = [];
  const say: Say = (offset, message) => {
    problems.push({ severity: 'error', file, ...lineAndColumn(offset), message });
  };
  const root = rootOf(text, (offset) => lineAndColumn(offset).line, say);
  return { root, problems, lineAndColumn };
}

function rootOf(text: string, lineOf: (offset: number) => number, say: Say): Placed | null {
  if (text.length > MOST_CHARACTERS) {
    say(0, `a boat file must be at most ${MOST_CHARACTERS} characters long, got ${text.length}`);
    return null;
  }
  const tokens = tokensOf(text, say);
  if (tokens === null) return null;
  const documents = new Composer({
    stringKeys: true,
    uniqueKeys: false,
    resolveKnownTags: false,
    logLevel: 'silent',
  });
  const [first, second] = documents.compose(tokens, true, text.length);
  if (second !== undefined) {
    say(second.range[0], 'a boat file must be one YAML document, found the start of a second one');
    return null;
  }
  if (first === undefined || hasErrors(first, lineOf, say)) return null;
  if (first.contents === null || (isScalar(first.contents) && first.contents.value === null)) {
    say(0, 'the boat file is empty; it must begin with `boat:` and `system:`');
    return null;
  }
  return placed(first.contents, first.contents.range?.[0] ?? 0, say);
}

/** The whole concrete syntax, or null when it is nested too deep to compose safely. */
function tokensOf(text: string, say: Say): CST.Token[] | null {
  const parser = new Parser();
  const tokens: CST.Token[] = [];
  let isText = false;
  for (const lexeme of new Lexer().lex(text)) {
    if (!isText) refuse(lexeme, parser.offset, say);
    isText = lexeme === CST.SCALAR;
    tokens.push(...parser.next(lexeme));
    if (parser.stack.length > DEEPEST) {
      say(parser.offset, `nested more than ${DEEPEST} levels deep; a boat file needs six`);
      return null;
    }
  }
  tokens.push(...parser.end());
  return tokens;
}

const REFUSED: Partial<Record<CST.TokenType, string>> = {
  anchor: 'is a YAML anchor',
  alias: 'is a YAML alias',
  tag: 'is a YAML tag',
  'directive-line': 'is a YAML directive',
};

function refuse(lexeme: string, offset: number, say: Say): void {
  const type = CST.tokenType(lexeme);
  const what = type === null ? undefined : REFUSED[type];
  if (what === undefined) return;
  const instead =
    type === 'directive-line'
      ? 'boat files are read as YAML 1.2; remove the line'
      : 'to write it as text, put it in quotes';
  say(offset, `${shown(lexeme)} ${what}, which a boat file may not use; ${instead}`);
}

/** What the composer says about anchors, aliases, tags and directives: `refuse` said it already. */
const SAID_ALREADY = new Set(['BAD_ALIAS', 'ALIAS_PROPS', 'TAG_RESOLVE_FAILED', 'BAD_DIRECTIVE']);

/** Once the composer has lost its way, every token up to the end of the text is one of these. */
const LOST = 'in YAML stream';

/** Says one error a line: those behind it most often follow from it. */
function hasErrors(
  document: Document.Parsed,
  lineOf: (offset: number) => number,
  say: Say,
): boolean {
  const errors = document.errors.filter((error) => !SAID_ALREADY.has(error.code));
  const said = new Set<number>();
  for (const error of errors) {
    const line = lineOf(error.pos[0]);
    const isMore = said.has(line) || (said.size > 0 && error.message.includes(LOST));
    if (!isMore) say(error.pos[0], yamlErrorWords(error.code, error.message));
    said.add(line);
  }
  return errors.length > 0;
}

function placed(content: unknown, keyOffset: number, say: Say): Placed {
  if (isMap(content)) return placedMap(content, keyOffset, say);
  if (isSeq(content)) {
    const items = content.items.map((item) => {
      const start = isMap(item) ? item.range?.[0] : undefined;
      return placed(item, start ?? content.range?.[0] ?? keyOffset, say);
    });
    const children = new Map(items.map((item, index) => [String(index), item]));
    const value = items.map((item) => (item.isRefused ? undefined : item.value));
    return { value, offset: content.range?.[0] ?? keyOffset, keyOffset, children };
  }
  if (!isScalar(content)) {
    // Left out altogether as in `{ amps }`, or an alias.
    const empty: Placed = { value: null, offset: keyOffset, keyOffset };
    return content === null ? empty : { ...empty, isRefused: true };
  }
  const isEmpty = content.value === null && (content.source ?? '') === '';
  const offset = isEmpty ? keyOffset : (content.range?.[0] ?? keyOffset);
  const scalar: Placed = { value: content.value, offset, keyOffset, source: content.source ?? '' };
  return content.tag === undefined ? scalar : { ...scalar, isRefused: true };
}

function placedMap(map: YAMLMap, keyOffset: number, say: Say): Placed {
  const value: Record<string, unknown> = Object.setPrototypeOf({}, null);
  const children = new Map<string, Placed>();
  for (const pair of map.items) {
    const key = keyOf(pair);
    if (key === null) continue;
    const { name, offset } = key;
    if (name === '__proto__') {
      say(offset, '"__proto__" cannot be a name in a boat file');
    } else if (children.has(name)) {
      say(offset, `\`${name}\` stands here a second time; each name may stand once in a map`);
    } else {
      const child = placed(pair.value, offset, say);
      children.set(name, child);
      if (!child.isRefused) value[name] = child.value;
    }
  }
  return { value, offset: map.range?.[0] ?? keyOffset, keyOffset, children };
}

/** Null for an alias as a key, which has been refused. */
function keyOf(pair: Pair): { name: string; offset: number } | null {
  const key = pair.key;
  if (!isScalar(key)) return null;
  const name = typeof key.value === 'string' ? key.value : (key.source ?? '');
  return { name, offset: key.range?.[0] ?? 0 };
}
