/**
 * The key pair by which push services know this boat (VAPID, RFC 8292), made once and kept in the data
 * folder for its owner only. Browsers that subscribed with the public key need the same pair for ever.
 */
import { closeSync, fsyncSync, openSync, readFileSync, renameSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import webPush from 'web-push';
import { wordsOf } from './way.ts';

export interface PushKeys {
  /** URL-safe base64, as browsers and the library take it. */
  publicKey: string;
  privateKey: string;
}

export const PUSH_KEYS_FILE = 'push-keys.json';

/** Makes them where there are none. `problem`: half a sentence. */
export function openPushKeys(folder: string): PushKeys | { problem: string } {
  const path = join(folder, PUSH_KEYS_FILE);
  try {
    const kept = keysIn(textOf(path));
    if (kept === 'damaged') {
      return {
        problem: `${path} holds no keys; put its copy back, or delete it and subscribe every browser anew`,
      };
    }
    return kept ?? made(path);
  } catch (error) {
    return { problem: `${path}: ${wordsOf(error)}` };
  }
}

function textOf(path: string): string | null {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return null;
    throw error;
  }
}

function keysIn(text: string | null): PushKeys | 'damaged' | null {
  if (text === null) return null;
  try {
    const kept: unknown = JSON.parse(text);
    return isKeys(kept) ? kept : 'damaged';
  } catch {
    return 'damaged';
  }
}

/** P-256: 65 and 32 bytes. */
function isKeys(kept: unknown): kept is PushKeys {
  if (typeof kept !== 'object' || kept === null) return false;
  if (!('publicKey' in kept) || !('privateKey' in kept)) return false;
  return bytesIn(kept.publicKey) === 65 && bytesIn(kept.privateKey) === 32;
}

export function bytesIn(text: unknown): number | null {
  if (typeof text !== 'string' || !/^[A-Za-z0-9_-]+=*$/.test(text)) return null;
  return Buffer.from(text, 'base64url').length;
}

function made(path: string): PushKeys {
  const keys = webPush.generateVAPIDKeys();
  const file = openSync(`${path}.new`, 'w', 0o600);
  try {
    writeSync(file, `${JSON.stringify(keys)}\n`);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  renameSync(`${path}.new`, path);
  return keys;
}
