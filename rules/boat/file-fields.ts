/**
 * The kinds of fields that a boat file is made of. Each carries two texts: its description, which
 * editors show as help, and its `error`, which ends the sentence "`key` must be ...".
 */
import * as z from 'zod';

/** Ids become part of alert ids and of addresses in the browser. */
const ID_PATTERN = /^[a-z][a-z0-9]*(?:-[a-z0-9]+)*$/;
const LONGEST_ID = 60;

const ID_WORDS =
  'lower-case letters, digits and single hyphens, beginning with a letter, at most 60 characters';

/** Key of a section: the id of the part or point that stands under it. */
export function idKey() {
  return z.string().regex(ID_PATTERN, { error: ID_WORDS }).max(LONGEST_ID, { error: ID_WORDS });
}

/** An id that stands as a value; whether it exists is found out once the file is read. */
export function idOf(what: string, help: string) {
  return z.string({ error: `the id of ${what}` }).describe(`${help} The id of ${what}.`);
}

/** Text of one line, without control characters. */
export function text(help: string, longest = 80) {
  const words = `text of 1 to ${longest} characters on one line`;
  return z
    .string({ error: words })
    .min(1, { error: words })
    .max(longest, { error: words })
    .regex(ONE_LINE, { error: words })
    .describe(help);
}

// oxlint-disable-next-line no-control-regex -- control characters are what it keeps out.
const ONE_LINE = /^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]*$/;

/** A number with its unit and range, both ends included. */
export function numberOf(unit: string, min: number, max: number, help: string) {
  const range = `${min} to ${max}${unit === '' ? '' : ` ${unit}`}`;
  return z
    .number({ error: numberWords(unit) })
    .min(min, { error: `from ${range}` })
    .max(max, { error: `from ${range}` })
    .describe(`${help} Range: ${range}.`);
}

function numberWords(unit: string): string {
  if (unit === '') return 'a number';
  return unit.startsWith('of ') ? `a share ${unit}` : `a number of ${unit}`;
}

/** A whole number, both ends included. */
export function wholeNumber(min: number, max: number, help: string) {
  const words = `a whole number from ${min} to ${max}`;
  return z
    .int({ error: words })
    .min(min, { error: words })
    .max(max, { error: words })
    .describe(`${help} Range: ${min} to ${max}.`);
}

/** One of a few words. */
export function oneOf<const Word extends string>(words: readonly Word[], help: string) {
  const list = words.map((word) => JSON.stringify(word)).join(', ');
  return z.enum(words, { error: `one of ${list}` }).describe(help);
}

/** One of a few numbers. */
export function oneNumberOf<const Value extends number>(values: readonly Value[], help: string) {
  return z.literal(values, { error: `one of ${values.join(', ')}` }).describe(help);
}

export function trueOrFalse(help: string) {
  return z.boolean({ error: 'true or false' }).describe(help);
}

/** A map with exactly these keys. `example` is what a problem shows when something else is found. */
export function map<Shape extends z.ZodRawShape>(shape: Shape, example: string, help: string) {
  return z.strictObject(shape, { error: `a map such as ${example}` }).describe(help);
}

/** Parts or points by their id. */
export function byId<Part extends z.ZodType>(part: Part, what: string, help: string) {
  return z.record(idKey(), part, { error: `a map of ${what}, each under its id` }).describe(help);
}

/** A list of ids or leg names. */
export function listOf<Item extends z.ZodType>(item: Item, example: string, help: string) {
  return z.array(item, { error: `a list such as ${example}` }).describe(help);
}
