/**
 * Settings name secrets, they hold none: every key that ends in `Secret` has the name of one as its
 * value. A name that the secrets file does not have is told with the others' problems, with its place.
 */
import * as z from 'zod';
import type { Secrets } from './secrets.ts';

/** For a key that ends in `Secret`. */
export const secretName = z
  .string('must be the name of a secret')
  .min(1, 'must be the name of a secret')
  .max(200);

/** `schema`, which also wants every secret that is named to be there. */
export function wantingSecrets<Schema extends z.ZodType>(schema: Schema, secrets: Secrets): Schema {
  return schema.superRefine((settings, context) => {
    for (const { path, name } of namedSecrets(settings)) {
      if (secrets.has(name)) continue;
      const message = `there is no secret of this name in the secrets file; add a line \`${name}: ...\` to it`;
      context.addIssue({ code: 'custom', message, path });
    }
  });
}

interface NamedSecret {
  path: (string | number)[];
  name: string;
}

function namedSecrets(settings: unknown, path: NamedSecret['path'] = []): NamedSecret[] {
  if (Array.isArray(settings)) {
    return settings.flatMap((one: unknown, at) => namedSecrets(one, [...path, at]));
  }
  if (settings === null || typeof settings !== 'object') return [];
  return Object.entries(settings).flatMap(([key, value]: [string, unknown]) =>
    key.endsWith('Secret') && typeof value === 'string'
      ? [{ path: [...path, key], name: value }]
      : namedSecrets(value, [...path, key]),
  );
}
