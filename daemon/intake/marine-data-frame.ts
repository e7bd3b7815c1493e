/**
 * Reads one WebSocket frame of an open marine data server. Trusts nothing in it: real servers send
 * bare strings, replies, unknown keys and version strings of their own. Pure; never throws.
 */
import { parseJson, readText } from './payload-text.ts';
import { printable, type Refusal } from './refusals.ts';

export interface MarineValue {
  path: string;
  /** As JSON has it; null: the source says that it has no valid value. */
  value: unknown;
}

export interface MarineUpdate {
  /** `$source`, or the same thing derived from `source`; '' where the update names none. */
  source: string;
  /** The source's own time, UTC milliseconds; null where it is absent or unreadable. */
  timestampMs: number | null;
  values: MarineValue[];
}

export type MarineFrame =
  | { kind: 'hello'; self: string | null; serverMs: number | null }
  | { kind: 'delta'; context: string | null; updates: MarineUpdate[]; refusals: Refusal[] }
  /** An error text, a closing notice or the answer to a request. */
  | { kind: 'message'; text: string; isError: boolean }
  | { kind: 'refused'; refusal: Refusal };

type Fields = Readonly<Record<string, unknown>>;

const FORBIDDEN_SEGMENTS = new Set(['__proto__', 'constructor', 'prototype']);
const RFC_3339 = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|[+-]\d\d:\d\d)$/;
const LONGEST_MESSAGE = 200;

export function readFrame(bytes: Buffer): MarineFrame {
  const read = readText(bytes);
  const parsed = 'refusal' in read ? read : parseJson(read.text);
  return 'refusal' in parsed ? refuse(parsed.refusal) : sortOut(parsed.value);
}

function sortOut(json: unknown): MarineFrame {
  if (typeof json === 'string') return message(json, true);
  if (!isFields(json)) return refuse({ reason: 'not a delta' });
  if (Array.isArray(json['updates'])) return readDelta(json, json['updates']);
  if ('put' in json) return refuse({ reason: 'request to switch' });
  if ('requestId' in json) return readReply(json);
  if (typeof json['version'] === 'string' || Array.isArray(json['roles'])) {
    return { kind: 'hello', self: asText(json['self']), serverMs: readTime(json['timestamp']) };
  }
  return refuse({ reason: 'not a delta' });
}

function readReply(json: Fields): MarineFrame {
  const status = json['statusCode'] ?? json['result'];
  const isError = json['state'] === 'FAILED' || (typeof status === 'number' && status >= 400);
  return message(asText(json['message']) ?? `answer ${String(status)}`, isError);
}

function readDelta(json: Fields, updates: readonly unknown[]): MarineFrame {
  const refusals: Refusal[] = [];
  const read = updates.flatMap((update) => {
    const good = isFields(update) ? readUpdate(update, refusals) : undefined;
    if (good === undefined) refusals.push({ reason: 'not a delta' });
    return good ?? [];
  });
  const context = json['context'] === undefined ? null : (asText(json['context']) ?? 'no text');
  return { kind: 'delta', context, updates: read, refusals };
}

/** An update that carries only `meta` is in order and has no values. */
function readUpdate(update: Fields, refusals: Refusal[]): MarineUpdate | undefined {
  const rows = update['values'] ?? (Array.isArray(update['meta']) ? [] : undefined);
  if (!Array.isArray(rows)) return undefined;
  const values: MarineValue[] = [];
  for (const row of rows as unknown[]) {
    const path = isFields(row) ? row['path'] : undefined;
    if (!isFields(row) || typeof path !== 'string' || !Object.hasOwn(row, 'value')) {
      refusals.push({ reason: 'not a delta' });
    } else if (path.split('.').some((segment) => FORBIDDEN_SEGMENTS.has(segment))) {
      refusals.push({ reason: 'forbidden path', found: printable(path) });
    } else values.push({ path, value: row['value'] });
  }
  const source = readSource(update);
  return { source, timestampMs: readTime(update['timestamp']), values };
}

/** As the standard derives `$source` from `source`: the label with canName, src, talker or XX. */
function readSource(update: Fields): string {
  const source = update['source'];
  if (typeof update['$source'] === 'string') return update['$source'];
  if (!isFields(source) || typeof source['label'] !== 'string') return '';
  const suffixes = [source['canName'], source['src'], source['talker']].map(asText);
  return `${source['label']}.${suffixes.find(Boolean) ?? 'XX'}`;
}

function readTime(value: unknown): number | null {
  if (typeof value !== 'string' || !RFC_3339.test(value)) return null;
  const atMs = Date.parse(value);
  return Number.isNaN(atMs) ? null : atMs;
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function asText(value: unknown): string | null {
  return typeof value === 'string' ? value : null;
}

function message(content: string, isError: boolean): MarineFrame {
  return { kind: 'message', text: printable(content, LONGEST_MESSAGE), isError };
}

function refuse(refusal: Refusal): MarineFrame {
  return { kind: 'refused', refusal };
}
