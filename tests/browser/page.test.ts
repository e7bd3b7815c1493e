/** The page in a real browser, over a boat that says what the test wants. */
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Known, PanelState } from '../../daemon/api/contract.ts';
import { openWindow, type Window } from './chromium.ts';
import { missingPumpAlarm, overloadWarning, silentSensorCaution } from './scripted-alerts.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';
import { unknown } from './scripted-known.ts';
import { scriptedPanel } from './scripted-panel.ts';

const PLAIN_VIEWS = ['circuits', 'alerts', 'report', 'guest', 'health', 'now'];

let boat: ScriptedBoat;
let window: Window;

beforeEach(async () => {
  boat = await startScriptedBoat();
  window = await openWindow({ width: 1366 });
});

afterEach(async () => {
  await window.close();
  await boat.stop();
});

const text = async (selector: string) =>
  (await window.page.locator(selector).first().innerText()).trim();

describe('the live panel', () => {
  test('says in one sentence what feeds the boat, and shows every part', async () => {
    await window.page.goto(boat.url);
    await window.page.getByText('Bow inlet feeds Climate bus and House bus; House bank').waitFor();
    expect(await text('h1')).toBe('Sable Plover');
    expect(await window.page.locator('main h2').allInnerTexts()).toEqual([
      'Alerts',
      'What can still go on',
      'Single-line diagram',
      'Sources',
      'Selectors and main switches',
      'Batteries',
      'Buses and circuits',
    ]);
    const panel = boat.panel(boat.atMs);
    const shown = await text('main');
    for (const { label } of [panel.sources, panel.selectors, panel.buses, panel.circuits].flat()) {
      expect(shown).toContain(label);
    }
    expect(shown).toContain('No open alerts.');
    expect(await text('.safety')).toMatch(
      /never switches.*proves a circuit dead.*licensed electrician/,
    );
    expect(await window.page.title()).toBe('Sable Plover, panelward');
  });

  test('a bus without voltage says why, with its cautions, when it is asked', async () => {
    boat.panel = (atMs) => {
      const state = scriptedPanel(atMs);
      const buses = state.buses.map((bus) =>
        bus.id === 'house-bus'
          ? Object.assign(bus, {
              legs: bus.legs.map((leg) => Object.assign(leg, { live: 'dead' })),
            })
          : bus,
      );
      return Object.assign(state, { buses });
    };
    await window.page.goto(boat.url);
    // At the top, where the head says so, as well as at the bus.
    await window.page.getByText('Why is there no voltage on House bus?').click();
    await window.page.getByText('HOUSE MAIN is open.').waitFor();
    await window.page.getByText('Why is there no voltage on House bus?').click();
    await window.page.getByText('Why no voltage? House bus').click();
    await window.page.getByText('HOUSE MAIN is open.').waitFor();
    const said = await window.page.locator('.why-dead[open]').innerText();
    expect(said).toContain('What to do: Find out whether somebody opened it on purpose.');
    expect(said).toContain('No reading proves a circuit dead.');
  });

  test('asks nobody but its own boat, and has nothing to complain about', async () => {
    for (const a of [overloadWarning(), missingPumpAlarm()]) boat.open.set(a.id, a);
    await window.page.goto(boat.url);
    await window.page.locator('.bus').first().waitFor();
    for (const view of ['history?points=bow-l1-amps&span=15min', ...PLAIN_VIEWS]) {
      await window.page.goto(`${boat.url}#${view}`);
      await window.page
        .locator(view.startsWith('history') ? 'canvas' : 'main section')
        .first()
        .waitFor();
    }
    expect(window.requests.length).toBeGreaterThan(8);
    expect(window.requests.filter((url) => !url.startsWith(boat.url))).toEqual([]);
    expect(window.errors).toEqual([]);
  });

  test('loads the chart library only for a chart', async () => {
    await window.page.goto(boat.url);
    await window.page.locator('.bus').first().waitFor();
    const isChart = (url: string) => url.includes('chart-drawing');
    expect(window.requests.some(isChart)).toBe(false);
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&span=1h`);
    await window.page.locator('canvas').waitFor();
    await expect.poll(() => window.requests.some(isChart), { timeout: 15_000 }).toBe(true);
  });

  test('says how a feed is known, and what a circuit usually does', async () => {
    await window.page.goto(boat.url);
    const climate = window.page.locator('.bus', { hasText: 'Climate bus' });
    await climate.getByText('Fed by Bow inlet (inferred)').waitFor();
    const air = window.page.locator('tr', { hasText: 'Air conditioner, saloon' });
    const said = (await air.innerText()).replaceAll(/\s+/g, ' ');
    expect(said).toContain('usually 11.6 A');
    expect(said).toContain('ran 60 % of last hour, 3 starts');
    const cooker = window.page.locator('tr', { hasText: 'Cooker' });
    expect(await cooker.innerText()).not.toContain('last hour');
  });

  test('names the likely culprit of a contradiction beside what contradicts', async () => {
    const likely = 'Most likely the voltage sensor of House bus is dead.';
    boat.panel = (atMs) =>
      scriptedPanel(atMs, {
        contradictions: [
          {
            parts: ['house-bus'],
            because: ['House bus has voltage, which nothing would feed then.'],
            culprit: { kind: 'dead sensor', points: [], text: likely },
          },
        ],
      });
    await window.page.goto(boat.url);
    const box = window.page.locator('.contradiction');
    await box.getByText('which nothing would feed then').waitFor();
    expect(await box.locator('.culprit').innerText()).toBe(likely);
  });

  test('follows the boat', async () => {
    await window.page.goto(boat.url);
    await window.page.getByText('42.7').first().waitFor();
    boat.panel = (atMs) => {
      const panel = scriptedPanel(atMs);
      const [bow, ...others] = panel.sources;
      const [first, ...legs] = bow?.legs ?? [];
      if (!bow || !first) throw new Error('The scripted panel lacks its first source.');
      const leg = { ...first, amps: { ...first.amps, value: 17.3 } };
      return { ...panel, sources: [{ ...bow, legs: [leg, ...legs] }, ...others] };
    };
    const changed = window.page.locator('.leg-amps', { hasText: '17.3' });
    await changed.waitFor();
    expect(await changed.count()).toBe(1);
  });
});

/** The same panel with every number unknown, as after a start without any sensor. */
function blind(panel: PanelState): PanelState {
  const isKnown = (value: unknown): value is Known =>
    typeof value === 'object' && value !== null && 'evidence' in value && 'ageMs' in value;
  const hide = (value: unknown): unknown => {
    if (isKnown(value)) return unknown();
    if (Array.isArray(value)) return value.map(hide);
    if (typeof value !== 'object' || value === null) return value;
    return Object.fromEntries(Object.entries(value).map(([name, part]) => [name, hide(part)]));
  };
  // oxlint-disable-next-line typescript/no-unsafe-type-assertion -- the shape is kept, leaf by leaf
  return hide(panel) as PanelState;
}

describe('what is not known', () => {
  test('is a dash with a word, never a zero', async () => {
    boat.panel = (atMs) => blind(scriptedPanel(atMs));
    await window.page.goto(boat.url);
    await window.page.locator('.bus').first().waitFor();
    const shown = (await text('main')).replaceAll('\u00a0', ' ');
    expect(shown).not.toMatch(/(^|[^\d.])0(\.0+)? (A|V|W|kW|Hz|%|°C)/);
    expect(shown.match(/— unknown/g)?.length).toBeGreaterThan(40);
    expect(await window.page.locator('.share-fill').count()).toBe(0);
  });

  test('and a measured zero is a zero', async () => {
    await window.page.goto(boat.url);
    const cooker = window.page.locator('tr', { hasText: 'Cooker' });
    expect((await cooker.innerText()).replaceAll('\u00a0', ' ')).toContain('0.0 A');
  });

  test('greys out with its last value and its age when it is stale', async () => {
    await window.page.goto(boat.url);
    const charger = window.page.locator('tr', { hasText: 'Battery charger' });
    const cell = charger.locator('.circuit-load');
    const said = (await cell.innerText()).replaceAll(/\s+/g, ' ');
    expect(said).toBe('— unknown was 5.2 A, 42 s ago');
    const stale = await window.styleOf('[data-activity="unknown"] .known-last', 'color');
    const fresh = await window.styleOf('[data-activity="drawing"] .circuit-load .number', 'color');
    expect(stale).not.toBe(fresh);
  });

  test('a selector shows every position that it may stand on', async () => {
    await window.page.goto(boat.url);
    const house = window.page.locator('.selector', { hasText: 'not known which' });
    await house.waitFor();
    expect(await house.locator('li[data-place="perhaps"] .place-name').allInnerTexts()).toEqual([
      'SUPPLY',
      'SMALL GENERATOR',
    ]);
    expect(await house.locator('li[data-place="here"]').count()).toBe(0);
    await house.getByText('Why').click();
    await house.getByText('The readings fit as well').waitFor();
  });
});

describe('a warning', () => {
  const card = () => window.page.locator('article.alert', { hasText: 'Bow inlet is overloaded' });

  test('appears, is read aloud, and is acknowledged under a name that is asked for once', async () => {
    await window.page.goto(boat.url);
    await window.page.getByText('No open alerts.').waitFor();

    boat.tell('raised', overloadWarning());
    await card().waitFor();
    expect(await card().getAttribute('data-phase')).toBe('unacknowledged');
    const said = (await card().innerText()).replaceAll('\u00a0', ' ');
    for (const part of [
      'Warning',
      'not acknowledged',
      'since 18:29',
      'The breaker on the dock may trip',
      'Switch off Air conditioner, guest cabin',
      'A reading never proves a circuit dead.',
      '54.2 A',
      '50.0 A',
      'Measured.',
    ]) {
      expect(said).toContain(part);
    }
    await window.page
      .locator('[aria-live="polite"]', { hasText: 'New warning: Bow inlet is overloaded' })
      .waitFor({ state: 'attached' });
    expect(await window.page.title()).toBe('(1) Sable Plover, panelward');

    await card()
      .getByRole('button', { name: /^Acknowledge/ })
      .click();
    const dialog = window.page.getByRole('dialog', { name: 'Who acknowledges?' });
    await dialog.getByRole('button', { name: 'Acknowledge' }).click();
    await dialog.getByText('Write a name first.').waitFor();
    await dialog.getByLabel('Your name').fill('Wren');
    await dialog.getByRole('button', { name: 'Acknowledge' }).click();

    await card().getByText('acknowledged by Wren', { exact: true }).waitFor();
    expect(boat.acknowledgements).toEqual([{ id: overloadWarning().id, by: 'Wren' }]);
    expect(await card().getAttribute('data-phase')).toBe('acknowledged');
    expect(
      await card()
        .getByRole('button', { name: /^Acknowledge/ })
        .count(),
    ).toBe(0);
    // The focus did not fall back to the top of the page.
    expect(await window.page.evaluate('document.activeElement.textContent')).toContain('Bow inlet');

    await window.page.reload();
    boat.tell('raised', missingPumpAlarm({ phase: 'unacknowledged', acknowledgedBy: null }));
    const alarm = window.page.locator('article.alert', { hasText: 'runs without' });
    await alarm.getByRole('button', { name: /^Acknowledge/ }).click();
    await alarm.getByText('acknowledged by Wren', { exact: true }).waitFor();
    expect(boat.acknowledgements).toHaveLength(2);
  });

  test('that cannot be acknowledged says why and stays', async () => {
    boat.open.set(overloadWarning().id, overloadWarning());
    boat.refusals.set('acknowledge', { status: 503, message: 'The disk refuses to write.' });
    await window.page.goto(boat.url);
    await card()
      .getByRole('button', { name: /^Acknowledge/ })
      .click();
    await window.page.getByLabel('Your name').fill('Wren');
    await window.page.keyboard.press('Enter');
    await card().getByText('The disk refuses to write.').waitFor();
    expect(await card().getAttribute('data-phase')).toBe('unacknowledged');
    boat.refusals.clear();
    await card()
      .getByRole('button', { name: /^Acknowledge/ })
      .click();
    await card().getByText('acknowledged by Wren', { exact: true }).waitFor();
    expect(await card().getByText('The disk refuses to write.').count()).toBe(0);
  });

  test('pulses until somebody knows of it, and never for those who want no motion', async () => {
    boat.open.set(overloadWarning().id, overloadWarning());
    const animation = () => window.styleOf('article.alert .mark', 'animation-name');
    await window.page.goto(boat.url);
    await card().waitFor();
    expect(await animation()).toBe('wake');
    await window.page.emulateMedia({ reducedMotion: 'reduce' });
    expect(await animation()).toBe('none');
    await window.page.emulateMedia({ reducedMotion: 'no-preference' });
    boat.tell('acknowledged', overloadWarning({ phase: 'acknowledged', acknowledgedBy: 'Wren' }));
    await card().getByText('acknowledged by Wren', { exact: true }).waitFor();
    expect(await animation()).toBe('none');
  });

  test('that is over or held says so, and leaves when it is closed', async () => {
    boat.open.set(silentSensorCaution().id, silentSensorCaution());
    await window.page.goto(boat.url);
    const caution = window.page.locator('article.alert', { hasText: 'is silent' });
    await caution.getByText('over, not acknowledged').waitFor();
    await caution.getByText('this alert is held, not confirmed').waitFor();
    boat.tell('closed', silentSensorCaution({ phase: 'closed' }));
    await window.page.getByText('No open alerts.').waitFor();
    expect(await caution.count()).toBe(0);
  });

  test('stands above the less urgent ones, and is seen from every view', async () => {
    for (const a of [silentSensorCaution(), overloadWarning(), missingPumpAlarm()]) {
      boat.open.set(a.id, a);
    }
    await window.page.goto(boat.url);
    await card().waitFor();
    expect(await window.page.locator('.alert-priority').allInnerTexts()).toEqual([
      'Alarm',
      'Warning',
      'Caution',
    ]);
    for (const view of ['Circuits', 'History', 'Report', 'Health']) {
      await window.page.getByRole('navigation', { name: 'Views' }).getByText(view).click();
      const strip = window.page.getByRole('navigation', { name: 'Open alerts' });
      await strip.getByText('Bow inlet is overloaded').waitFor();
      expect(await strip.getByRole('link').count()).toBe(3);
    }
  });
});

describe('the past and the health', () => {
  test('list past alerts with their story, and what changed at the panel', async () => {
    await window.page.goto(`${boat.url}#alerts`);
    const first = window.page.locator('.past-alert').first();
    await first.locator('summary').click();
    await first.getByText('What happened').waitFor();
    expect((await first.innerText()).replaceAll('\u00a0', ' ')).toContain('lasted 12 min');
    await window.page.goto(`${boat.url}#history?points=bow-l1-amps&span=6h`);
    await window.page
      .getByText('House bus is now fed by Bow inlet; before, by Small generator.')
      .waitFor();
  });

  test('list sensors in trouble first, what was refused, and the store', async () => {
    await window.page.goto(`${boat.url}#health`);
    const rows = window.page.locator('.sensors tbody tr');
    await rows.first().waitFor();
    expect(await rows.first().innerText()).toContain('nothing since start');
    expect(await rows.nth(1).innerText()).toContain('stale');
    const shown = (await text('main')).replaceAll('\u00a0', ' ');
    for (const part of ['payload is not JSON', '70.0 MiB', '2 sensors are silent', '41,207']) {
      expect(shown).toContain(part);
    }
  });

  test('show on every view that panelward itself is in trouble', async () => {
    await window.page.goto(boat.url);
    const link = window.page.getByRole('link', { name: 'Health' });
    await link.waitFor();
    // Until the stream is open, what is sent down it reaches nobody.
    await window.page.locator('.link[data-link="live"]').waitFor();
    expect(await link.locator('.mark').count()).toBe(0);
    const problems = ['The disk refuses to write.'];
    const health = { status: 'degraded', problems, utcOffsetMs: 0 };
    boat.sendRaw(`event: health\ndata: ${JSON.stringify(health)}\n\n`);
    await window.page.getByRole('link', { name: /Health.*needs attention/ }).waitFor();
    expect(await link.locator('.mark').count()).toBe(1);
  });

  test('say why an answer is missing, and ask again', async () => {
    boat.refusals.set('health', { status: 503, message: 'Not ready yet.' });
    await window.page.goto(`${boat.url}#health`);
    const problem = window.page.getByRole('alert').filter({ hasText: 'Not ready yet.' });
    await problem.waitFor();
    boat.refusals.clear();
    await problem.getByRole('button', { name: 'Try again' }).click();
    await window.page.locator('.sensors').waitFor();
    expect(await problem.count()).toBe(0);
  });
});
