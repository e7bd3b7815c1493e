/**
 * Whether the computer says that it gets too little voltage or has slowed itself down. A Raspberry
 * Pi does: through the kernel's `rpi_volt` monitor, or through `vcgencmd get_throttled`, whose bits 0
 * to 3 are: under-voltage, frequency capped, throttled, soft temperature limit (from memory of the
 * maker's documentation). Any other computer says nothing, and then nothing is known.
 */
import { execFile } from 'node:child_process';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';

export interface BoardPower {
  isUndervoltage: boolean;
  isThrottled: boolean;
}

const MONITORS = '/sys/class/hwmon';
const PATIENCE_MS = 2000;
const UNDERVOLTAGE_BIT = 0b0001;
const SLOWED_BITS = 0b1110;

/** Null where the computer does not tell. Never rejects. */
export async function boardPower(
  monitors: string = MONITORS,
  program = 'vcgencmd',
): Promise<BoardPower | null> {
  const bits = await throttledBits(program);
  if (bits !== null) {
    return {
      isUndervoltage: (bits & UNDERVOLTAGE_BIT) !== 0,
      isThrottled: (bits & SLOWED_BITS) !== 0,
    };
  }
  const isUndervoltage = await monitorAlarm(monitors);
  return isUndervoltage === null ? null : { isUndervoltage, isThrottled: false };
}

function throttledBits(program: string): Promise<number | null> {
  return new Promise((resolve) => {
    execFile(program, ['get_throttled'], { timeout: PATIENCE_MS }, (error, stdout) => {
      const hex = /^throttled=0x([0-9a-f]+)$/i.exec(stdout.trim())?.[1];
      resolve(error || hex === undefined ? null : Number.parseInt(hex, 16));
    });
  });
}

async function monitorAlarm(folder: string): Promise<boolean | null> {
  try {
    for (const name of await readdir(folder)) {
      const kind = await textIn(join(folder, name, 'name'));
      if (kind !== 'rpi_volt') continue;
      const alarm = await textIn(join(folder, name, 'in0_lcrit_alarm'));
      if (alarm === '0' || alarm === '1') return alarm === '1';
    }
    return null;
  } catch {
    // No such folder: another system.
    return null;
  }
}

async function textIn(path: string): Promise<string | null> {
  try {
    return (await readFile(path, 'utf8')).trim();
  } catch {
    return null;
  }
}
