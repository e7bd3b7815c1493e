/** A secret that two ends sign with: it is there, and nobody guesses it. */
import type { Secrets } from './secrets.ts';

const LEAST_CHARACTERS = 24;

/** The secret of that name, or a whole sentence for whoever writes the settings. */
export function signingSecret(
  secrets: Secrets,
  name: string,
): { secret: string } | { problem: string } {
  const secret = secrets.get(name);
  if (secret === undefined) {
    return {
      problem: `The settings name a secret \`${name}\`, and secrets.yaml has no such line.`,
    };
  }
  if (secret.length < LEAST_CHARACTERS) {
    return {
      problem: `The secret \`${name}\` needs at least ${LEAST_CHARACTERS} characters, as from: openssl rand -hex 32`,
    };
  }
  return { secret };
}
