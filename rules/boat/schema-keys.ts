/** Which keys the schema knows at a place of the boat file. */
import * as z from 'zod';
import type { Path } from './draft.ts';
import { isRecord } from './records.ts';

/** The valid keys of the map that `path` leads to; none where the schema has no fixed keys there. */
export function keysAt(schema: z.core.$ZodType, path: Path, value: unknown): string[] {
  let at: z.core.$ZodType | null = schema;
  let found: unknown = value;
  for (const step of path) {
    at = stepInto(bare(at, found), step);
    if (at === null) return [];
    found = isRecord(found) ? found[step] : undefined;
  }
  const last = bare(at, found);
  return last instanceof z.ZodObject ? Object.keys(last.shape) : [];
}

function stepInto(schema: z.core.$ZodType | null, step: PropertyKey): z.core.$ZodType | null {
  if (schema instanceof z.ZodObject) {
    const shape: Record<string, z.core.$ZodType> = schema.shape;
    return shape[String(step)] ?? null;
  }
  if (schema instanceof z.ZodRecord) return schema.valueType;
  return schema instanceof z.ZodArray ? schema.element : null;
}

/** Without `optional`, and of a choice of kinds the one that the value is. */
function bare(schema: z.core.$ZodType | null, value: unknown): z.core.$ZodType | null {
  if (schema instanceof z.ZodOptional) return bare(schema.unwrap(), value);
  if (!(schema instanceof z.ZodDiscriminatedUnion)) return schema;
  const isThisKind = (option: z.core.$ZodType): boolean =>
    option instanceof z.ZodObject && option.shape['kind'] instanceof z.ZodLiteral
      ? option.shape['kind'].value === kindOf(value)
      : false;
  return schema.options.find(isThisKind) ?? null;
}

function kindOf(value: unknown): unknown {
  return isRecord(value) ? value['kind'] : undefined;
}
