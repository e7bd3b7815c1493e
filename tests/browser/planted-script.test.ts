/**
 * Names and texts that carry script, as a sensor, a boat file, a settings file or somebody on the
 * network might plant them: every view shows them as text, runs none and makes no element of them.
 * The payloads are the usual ways out of text, attribute, comment and address (after OWASP's
 * cross-site scripting cheat sheets, from memory).
 */
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { PanelState } from '../../daemon/api/contract.ts';
import { openWindow, type Window } from './chromium.ts';
import { missingPumpAlarm, overloadWarning } from './scripted-alerts.ts';
import { startScriptedBoat, type ScriptedBoat } from './scripted-boat.ts';
import { scriptedPanel } from './scripted-panel.ts';

const PAYLOADS = [
  '<script data-planted>ran(1)</script>',
  '<img data-planted src=x onerror="ran(2)">',
  '<svg data-planted onload=ran(3)><animate onbegin=ran(3) attributeName=x>',
  '"><b data-planted onfocus=ran(4) autofocus tabindex=1>',
  "' data-planted onmouseover=ran(5) style='position:fixed;inset:0",
  '</title></textarea></style></script><iframe data-planted srcdoc="<script>parent.ran(6)</script>">',
  '<a data-planted href="javascript:ran(7)">here</a>',
  'javascript:ran(8)//<math><mtext data-planted>',
  '&lt;img data-planted src=x onerror=ran(9)&gt;<!--><img data-planted src=x onerror=ran(9)-->',
  '<template data-planted><form data-planted action="javascript:ran(10)"><button>ok',
];
/** What every payload has in it, so that one can be found in what is shown. */
const MARK = 'data-planted';
/** Texts of people, files and the network; the ids that parts are found by are judged elsewhere. */
const TEXTS = new Set(
  (
    'label title means doThis cautions because what text sentence also problems problem lastError ' +
    'lastTopic address url alertsFile historyFile reason acknowledgedBy person scenario version ' +
    'boat contact contacts note'
  ).split(' '),
);
const VIEWS = [
  'now',
  'circuits',
  'alerts',
  'history?points=bow-l1-amps,bow-l1-volts&span=1h',
  'report',
  'guest',
  'health',
];

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

/** The same answer with a payload at the end of every text, each time the next one. */
function planted<Answer>(answer: Answer): Answer {
  let each = 0;
  const text = JSON.stringify(answer, (key, value: unknown) => {
    if (!TEXTS.has(key)) return value;
    const plant = (one: unknown) => {
      if (typeof one !== 'string') return one;
      each += 1;
      return `${one} ${PAYLOADS[each % PAYLOADS.length]}`;
    };
    return Array.isArray(value) ? value.map(plant) : plant(value);
  });
  return JSON.parse(text) as Answer;
}

async function count(selector: string): Promise<number> {
  return window.page.locator(selector).count();
}

const ran = () => window.page.evaluate<number[]>('window.hasRun');

test('is shown as text on every view, and none of it runs', async () => {
  const { page } = window;
  boat.panel = (atMs): PanelState => planted(scriptedPanel(atMs));
  boat.about = planted({ ...boat.about, isDemo: true, scenario: 'x' });
  boat.about.name += ` ${PAYLOADS[1]}`;
  boat.visitor = { ...boat.visitor, isLocal: false, person: `Wren ${PAYLOADS[3]}` };
  for (const alert of [overloadWarning(), missingPumpAlarm({ acknowledgedBy: 'Wren' })]) {
    boat.open.set(alert.id, planted(alert));
  }
  await page.addInitScript(
    'window.hasRun = []; window.ran = (which) => window.hasRun.push(which);',
  );
  await page.route(/\/api\/v1\/(?!live)/, async (route) => {
    const answer = await route.fetch();
    await route.fulfill({ response: answer, json: planted(await answer.json()) });
  });
  page.on('dialog', (dialog) => void dialog.dismiss());
  for (const view of VIEWS) {
    await page.goto(`${boat.url}#${view}`);
    await page.locator('main section').first().waitFor();
    await page.waitForFunction(`document.body.textContent.includes('${MARK}')`);
    await page.evaluate(
      `document.querySelectorAll('details').forEach((one) => { one.open = true; })`,
    );
    if (view === 'alerts') await page.locator('.past-alert').first().waitFor();
    if (view === 'health') await page.locator('.sensors').waitFor();
    if (view === 'report') await page.locator('.figures').first().waitFor();
    const shown = await page.locator('body').innerText();
    for (const part of ['onerror="ran(2)"', 'onload=ran(3)']) {
      expect(shown, view).toContain(part);
    }
    expect(await count(`[${MARK}]`), view).toBe(0);
    expect(await count('iframe, [onerror], [onload], [onfocus], [onmouseover]'), view).toBe(0);
    expect(await count('[href^="javascript:" i], [src^="javascript:" i]'), view).toBe(0);
    expect(await page.title()).toContain('<img data-planted');
  }
  expect(await ran()).toEqual([]);
  // Not even tried: a script that the policy of the page had to stop would be an error here.
  expect(window.errors).toEqual([]);
});

test('would be stopped by the policy of the page, were it let in by mistake', async () => {
  const { page } = window;
  await page.addInitScript(
    'window.hasRun = []; window.ran = (which) => window.hasRun.push(which);',
  );
  await page.goto(boat.url);
  await page.locator('main section').first().waitFor();
  await page.evaluate(
    `document.querySelector('main').innerHTML = ${JSON.stringify(PAYLOADS.join(' '))}`,
  );
  // The control of the test above: elements are made of such texts, and it would see them.
  expect(await count(`[${MARK}]`)).toBeGreaterThan(3);
  await expect.poll(() => window.errors.join(' ')).toMatch(/Content Security Policy/);
  expect(await ran()).toEqual([]);
});
