/** What a person decides on the live views: the kettle, one circuit, the evidence, a guest's fear. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openWindow, type Window } from './chromium.ts';
import { missingPumpAlarm, overloadWarning } from './scripted-alerts.ts';
import { scriptedPanel } from './scripted-panel.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';

let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  window = await openWindow({ width: 820 });
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

const said = async (selector: string): Promise<string> =>
  (await window.page.locator(selector).first().innerText()).replaceAll(/\s+/g, ' ').trim();

describe('what can still go on', () => {
  test('tells in piles whether the kettle fits, with room, reasons and a caution', async () => {
    await window.page.goto(boat.url);
    await window.page.locator('.pile').first().waitFor();
    // L1 carries 42.7 A and the heater may come on with 12.4 A more: nothing for hours is left.
    expect(await said('.room-source')).toMatch(
      /Room on Bow inlet no room on L1 42.7 A of 50 A now/,
    );
    expect(await said('[data-pile="does-not-fit"]')).toContain('Kettle');
    expect(await said('[data-pile="fits-if-off"]')).toContain(
      'Toaster if Air conditioner, guest cabin and also Water heater are off',
    );
    expect(await said('.room-caution')).toMatch(/no promise that a breaker holds/);
    await window.page.getByText('How this was reckoned').click();
    expect(await said('.reckoning')).toMatch(
      /Kettle \(10.5 A, by the boat file\): does not fit. Bow inlet/,
    );
  });

  test('says until when the bank lasts, as a range of hours and of the clock', async () => {
    await window.page.goto(boat.url);
    await window.page.locator('.lasting').waitFor();
    expect(await said('.lasting')).toMatch(
      /House bank lasts until \w+.* at least, \w+.* at most 44 to 66 h, down to 50 %/,
    );
  });

  test('says so where the boat does not tell', async () => {
    boat.refusals.set('load-plan', { status: 503, message: 'The panel is not ready.' });
    await window.page.goto(boat.url);
    await window.page.getByText('The panel is not ready.').waitFor();
    expect(await window.page.locator('.pile').count()).toBe(0);
  });
});

describe('circuits', () => {
  test('a bus without voltage says why in the schedule as well', async () => {
    boat.panel = (atMs) => {
      const state = scriptedPanel(atMs);
      for (const bus of state.buses) {
        if (bus.id === 'house-bus') for (const leg of bus.legs) leg.live = 'dead';
      }
      return state;
    };
    await window.page.goto(`${boat.url}#circuits`);
    const bus = window.page.locator('.bus').filter({ hasText: 'House bus' });
    expect(await bus.getAttribute('data-live')).toBe('dead');
    await window.page.getByText('Why no voltage? House bus').click();
    await window.page.getByText('HOUSE MAIN is open.').waitFor();
    expect(await said('.why-dead[open]')).toContain('No reading proves a circuit dead.');
  });

  test('are found, sorted, opened by keyboard, and give the focus back', async () => {
    await window.page.goto(`${boat.url}#circuits`);
    await window.page.locator('.schedule').first().waitFor();
    await window.page.getByLabel('Find').fill('conditioner,');
    await expect.poll(() => window.page.locator('.schedule tbody tr').count()).toBe(3);
    await window.page.getByLabel('Order').selectOption('load');
    await expect.poll(() => said('.schedule tbody tr')).toContain('Air conditioner, saloon');
    const link = window.page.locator('.circuit-open').first();
    await link.focus();
    await window.page.keyboard.press('Enter');
    await window.page.locator('.one-circuit').waitFor();
    await expect
      .poll(() => window.page.evaluate('document.activeElement.id'))
      .toBe('one-circuit-heading');
    expect(window.page.url()).toContain('text=conditioner%2C&sort=load&open=saloon-air');
    const facts = await said('.one-circuit-facts');
    expect(facts).toContain('Needs running first Cooling water pump');
    expect(facts).toContain('Usual current 11.6 A');
    await window.page.getByRole('link', { name: 'Close' }).click();
    await expect
      .poll(() => window.page.evaluate('document.activeElement.id'))
      .toBe('open-saloon-air');
  });

  test('show the last day of a measured circuit, and what it used today', async () => {
    await window.page.goto(`${boat.url}#circuits?open=refrigerator`);
    await window.page.locator('.one-circuit canvas').waitFor();
    await expect.poll(() => said('.one-circuit-facts')).toContain('Energy today 5.38 kWh');
    expect(await said('.one-circuit')).toContain('refrigerator amps L2');
  });

  test('say why today’s energy is not known', async () => {
    boat.refusals.set('survey', { status: 503, message: 'The history cannot be read.' });
    await window.page.goto(`${boat.url}#circuits`);
    const why = window.page.getByText('Today’s energy is not known.');
    await why.waitFor();
    expect(await why.innerText()).toContain('The history cannot be read.');
  });
});

test('an alert shows its evidence only when it is asked', async () => {
  const alarm = missingPumpAlarm();
  boat.open.set(alarm.id, alarm);
  await window.page.goto(`${boat.url}#alerts`);
  await window.page.locator('.alert').waitFor();
  const asked = () => window.requests.filter((url) => url.includes('/history?')).length;
  expect(asked()).toBe(0);
  await window.page.locator('.alert').getByText('Show the evidence').click();
  await window.page.locator('.alert canvas').waitFor();
  expect(asked()).toBe(1);
});

test('a guest reads what to do, without figures', async () => {
  for (const alert of [overloadWarning(), missingPumpAlarm()]) boat.open.set(alert.id, alert);
  await window.page.goto(`${boat.url}#guest`);
  await window.page.getByText('from the dock, through the cord').waitFor();
  const shown = await said('.guest');
  expect(shown).toContain('Yes. Tell whoever is responsible for the boat now.');
  expect(shown).toContain('Bow inlet is overloaded');
  expect(shown).toMatch(/never a flame.*everybody on deck.*headache.*Touch no plug/);
  expect(shown.replaceAll(/\b\d+\. /g, '')).not.toMatch(/\d/);
});

test('health tells the disk, the clock and why a sensor is silent', async () => {
  await window.page.goto(`${boat.url}#health`);
  await window.page.locator('.sensors').waitFor();
  const shown = await said('main');
  expect(shown).toContain('Free on the disk 20.0 GiB of 29.1 GiB');
  expect(shown).toContain('A time server vouches');
  expect(shown).toContain('nothing has come under its address');
});

test.each([820, 1366])('the schedule stays within its card at %i px', async (width) => {
  await window.page.setViewportSize({ width, height: 900 });
  await window.page.goto(`${boat.url}#circuits`);
  await window.page.locator('.circuit-energy-text').first().waitFor();
  const beyond = await window.page.evaluate<string[]>(
    `[...document.querySelectorAll('.schedule td, .schedule th')]
      .filter((cell) => cell.checkVisibility())
      .filter((cell) => cell.getBoundingClientRect().right > cell.closest('.bus').getBoundingClientRect().right)
      .map((cell) => cell.textContent)`,
  );
  expect(beyond).toEqual([]);
});

test('the diagram names the rating of a main switch and the volts of a bank', async () => {
  await window.page.goto(boat.url);
  await window.page.locator('.diagram svg').first().waitFor();
  const drawn = (await window.page.locator('.diagram svg').first().textContent()) ?? '';
  expect(drawn.replaceAll('\u00a0', ' ')).toMatch(/HOUSE MAIN, ?50 A/);
  expect(drawn.replaceAll('\u00a0', ' ')).toMatch(/House bank, ?12 V/);
});
