/**
 * What Linux tells anyone about its wall clock: the time, and whether a time server has set it.
 * systemd-timesyncd touches a file at each synchronisation (systemd-timesyncd(8)); other services
 * (chrony, ntpd) are seen through the kernel's flag, which `timedatectl` shows (timedatectl(1)).
 */
import { execFile } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { stat } from 'node:fs/promises';
import { wallNowMs } from './clock.ts';
import type { WallSource } from './wall-clock.ts';

const MARKER = '/run/systemd/timesync/synchronized';
const RUN_NAME = '/proc/sys/kernel/random/boot_id';
const ASKING_MS_MAX = 5000;

/** The wall clock of this computer. Where there is no systemd it is never synchronised. */
export function systemWall(marker: string = MARKER, program = 'timedatectl'): WallSource {
  return {
    nowMs: wallNowMs,
    machineRun: machineRun(),
    async synchronisedAtMs(isThorough) {
      const touchedMs = await touchedAt(marker);
      if (touchedMs !== null || !isThorough) return touchedMs;
      return (await kernelSaysSo(program)) ? wallNowMs() : null;
    },
  };
}

async function touchedAt(path: string): Promise<number | null> {
  try {
    return (await stat(path)).mtimeMs;
  } catch {
    // Not there: another service keeps the time, or none does.
    return null;
  }
}

/** False too where the program is not there or does not answer. Setting a clock clears the flag. */
function kernelSaysSo(program: string): Promise<boolean> {
  return new Promise((resolve) => {
    execFile(
      program,
      ['show', '--property=NTPSynchronized', '--value'],
      { timeout: ASKING_MS_MAX, encoding: 'utf8' },
      (error, stdout) => resolve(error === null && stdout.trim() === 'yes'),
    );
  });
}

function machineRun(): string | null {
  try {
    return readFileSync(RUN_NAME, 'utf8').trim();
  } catch {
    return null;
  }
}
