/** Everything that is not a success: one shape of answer, in words that say what to do. */
import type { FastifyError } from 'fastify';
import { STATUS_CODES } from 'node:http';
import type { z } from 'zod';
import type { ErrorAnswer } from './contract.ts';

/** What has to be done first, for the page. */
type Needs = NonNullable<ErrorAnswer['error']['needs']>;

/** Thrown by a route, answered with `status` in the one shape of every error. */
export class RequestProblem extends Error {
  override readonly name = 'RequestProblem';
  readonly statusCode: number;
  readonly expected: string | undefined;
  readonly found: string | undefined;
  readonly needs: Needs | undefined;

  constructor(
    statusCode: number,
    message: string,
    { expected, found, needs }: { expected?: string; found?: string; needs?: Needs } = {},
  ) {
    super(message);
    this.statusCode = statusCode;
    this.expected = expected;
    this.found = found;
    this.needs = needs;
  }
}

export function unknownAlert(id: string): RequestProblem {
  return new RequestProblem(404, 'There is no alert of this id.', { found: id.slice(0, 300) });
}

/** What somebody sent is shown back this far and no further. */
const SHOWN_LENGTH_MAX = 100;

/** The answer to whatever was thrown; a mistake of ours tells the outside nothing of its inside. */
export function answerTo(error: unknown): { status: number; answer: ErrorAnswer } {
  if (error instanceof RequestProblem) {
    const { message, expected, found, needs } = error;
    return {
      status: error.statusCode,
      answer: errorAnswer(message, {
        ...(expected !== undefined && { expected }),
        ...(found !== undefined && { found }),
        ...(needs !== undefined && { needs }),
      }),
    };
  }
  const status = statusOf(error);
  const message = FRAMEWORK_MESSAGES.get(codeOf(error)) ?? GENERAL_MESSAGES.get(status);
  return {
    status,
    answer: errorAnswer(
      message ?? `The request cannot be answered: ${STATUS_CODES[status] ?? status}.`,
    ),
  };
}

export function errorAnswer(
  message: string,
  more: { expected?: string; found?: string; needs?: Needs } = {},
): ErrorAnswer {
  return { error: { message, ...more } };
}

/** All that is wrong with one part of a request (`query`, `body`, `path`), as a 400. */
export function problemWith(
  where: string,
  issues: readonly z.core.$ZodIssue[],
  given: unknown,
  known: readonly string[],
): RequestProblem {
  const sentences = issues.map((issue) => sentenceFor(where, issue, given, known));
  const first = issues[0];
  const only = issues.length === 1 && first !== undefined;
  return new RequestProblem(
    400,
    sentences.join(' '),
    only ? { expected: expectedBy(first, known), found: foundIn(first, given) } : {},
  );
}

function sentenceFor(
  where: string,
  issue: z.core.$ZodIssue,
  given: unknown,
  known: readonly string[],
): string {
  const name = issue.path.map(String).join('.');
  const subject = name === '' ? `The ${where}` : `\`${name}\` in the ${where}`;
  if (issue.code === 'unrecognized_keys') {
    const keys = issue.keys.map((key) => `\`${shown(key)}\``).join(', ');
    return `Unknown in the ${where}: ${keys}. Expected ${expectedBy(issue, known)}.`;
  }
  return `${subject} must be ${expectedBy(issue, known)}, got ${foundIn(issue, given)}.`;
}

function expectedBy(issue: z.core.$ZodIssue, known: readonly string[]): string {
  switch (issue.code) {
    case 'unrecognized_keys':
      return known.length === 0 ? 'nothing' : `only ${known.join(', ')}`;
    case 'invalid_type':
      return issue.expected === 'int'
        ? 'a whole number'
        : `${/^[aeiou]/.test(issue.expected) ? 'an' : 'a'} ${issue.expected}`;
    case 'too_small':
      return `at least ${String(issue.minimum)}${lengthUnit(issue.origin, issue.minimum)}`;
    case 'too_big':
      return `at most ${String(issue.maximum)}${lengthUnit(issue.origin, issue.maximum)}`;
    case 'invalid_value':
      return `one of ${issue.values.map(String).join(', ')}`;
    case 'custom':
    case 'invalid_element':
    case 'invalid_format':
    case 'invalid_key':
    case 'invalid_union':
    case 'not_multiple_of':
      return issue.message;
  }
}

function lengthUnit(origin: string, limit: number | bigint): string {
  if (origin !== 'string') return '';
  return limit === 1 ? ' character long' : ' characters long';
}

function foundIn(issue: z.core.$ZodIssue, given: unknown): string {
  if (issue.code === 'unrecognized_keys') return shown(issue.keys.join(', '));
  let value = given;
  for (const key of issue.path) {
    value = typeof value === 'object' && value !== null ? Reflect.get(value, key) : undefined;
  }
  return value === undefined ? 'nothing' : shown(JSON.stringify(value));
}

/** Without control characters and not too long, whatever it was. */
function shown(text: string): string {
  const plain = text.replaceAll(/\p{Cc}/gu, '?');
  return plain.length <= SHOWN_LENGTH_MAX ? plain : `${plain.slice(0, SHOWN_LENGTH_MAX)}...`;
}

function statusOf(error: unknown): number {
  const status =
    typeof error === 'object' && error !== null && 'statusCode' in error ? error.statusCode : 500;
  return typeof status === 'number' && status >= 400 && status < 600 ? status : 500;
}

function codeOf(error: unknown): FastifyError['code'] {
  const code = typeof error === 'object' && error !== null && 'code' in error ? error.code : '';
  return typeof code === 'string' ? code : '';
}

const FRAMEWORK_MESSAGES: ReadonlyMap<string, string> = new Map([
  ['FST_ERR_CTP_BODY_TOO_LARGE', 'The body is too large; at most 64 KiB are taken.'],
  ['FST_ERR_CTP_INVALID_MEDIA_TYPE', 'The body must be JSON, sent as `application/json`.'],
  ['FST_ERR_CTP_EMPTY_JSON_BODY', 'The body is empty; JSON was expected.'],
  ['FST_ERR_CTP_INVALID_JSON_BODY', 'The body is not valid JSON.'],
  ['FST_ERR_CTP_INVALID_CONTENT_LENGTH', 'The body is not as long as its header says.'],
  ['FST_ERR_BAD_URL', 'The address is not valid: its percent-encoding is broken.'],
  ['FST_ERR_MAX_PARAM_LENGTH', 'The address is too long.'],
]);

const GENERAL_MESSAGES: ReadonlyMap<number, string> = new Map([
  [400, 'The request cannot be understood.'],
  [404, 'There is nothing at this address.'],
  [500, 'Something inside panelward failed; its log says what.'],
]);
