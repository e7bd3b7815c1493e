/** What a computer says of its own power, by the kernel's files and by its maker's program. */
import { chmodSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { boardPower } from '../../../daemon/service/board-power.ts';

function scratch(): string {
  const folder = mkdtempSync(join(tmpdir(), 'panelward-power-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

function saying(words: string): string {
  const program = join(scratch(), 'vcgencmd');
  writeFileSync(program, `#!/bin/sh\necho '${words}'\n`);
  chmodSync(program, 0o755);
  return program;
}

function monitor(kind: string, alarm: string): string {
  const folder = scratch();
  mkdirSync(join(folder, 'hwmon0'));
  writeFileSync(join(folder, 'hwmon0', 'name'), `${kind}\n`);
  writeFileSync(join(folder, 'hwmon0', 'in0_lcrit_alarm'), `${alarm}\n`);
  return folder;
}

test.each([
  ['throttled=0x0', { isUndervoltage: false, isThrottled: false }],
  ['throttled=0x1', { isUndervoltage: true, isThrottled: false }],
  ['throttled=0x50005', { isUndervoltage: true, isThrottled: true }],
  // What was so once since boot is over.
  ['throttled=0x50000', { isUndervoltage: false, isThrottled: false }],
  ['throttled=0x8', { isUndervoltage: false, isThrottled: true }],
])('%s', async (words, expected) => {
  expect(await boardPower('/nowhere', saying(words))).toEqual(expected);
});

test('the kernel tells it where the program is not there', async () => {
  const at = (alarm: string) => boardPower(monitor('rpi_volt', alarm), '/nowhere/vcgencmd');
  expect(await at('1')).toEqual({ isUndervoltage: true, isThrottled: false });
  expect(await at('0')).toEqual({ isUndervoltage: false, isThrottled: false });
  expect(await at('what')).toBeNull();
});

test('another computer says nothing, and then nothing is known', async () => {
  expect(await boardPower('/nowhere', '/nowhere/vcgencmd')).toBeNull();
  expect(await boardPower(monitor('k10temp', '1'), '/nowhere/vcgencmd')).toBeNull();
  expect(
    await boardPower('/nowhere', saying('error=1 error_msg="Command not registered"')),
  ).toBeNull();
});
