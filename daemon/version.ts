/** Where the package lies and which version it is, from its own package.json. */
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { z } from 'zod';

const packageSchema = z.object({ version: z.string() });

/** The folder of package.json: this file runs from the source as well as from the build. */
export function packageFolder(): string {
  let folder = dirname(fileURLToPath(import.meta.url));
  while (!existsSync(join(folder, 'package.json'))) {
    const above = dirname(folder);
    if (above === folder) throw new Error('package.json is not above the program');
    folder = above;
  }
  return folder;
}

export function packageVersion(): string {
  const text = readFileSync(join(packageFolder(), 'package.json'), 'utf8');
  return packageSchema.parse(JSON.parse(text)).version;
}
