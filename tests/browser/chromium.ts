/** The browser that the page is tested in: the system's Chromium, with a profile that nobody used. */
import { existsSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium, type BrowserContext, type Page } from 'playwright-core';

const ARGS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** Where Chromium is; throws one line that says how to get it. */
export function chromiumPath(): string {
  const path = process.env['CHROMIUM'] ?? '/usr/bin/chromium';
  if (!existsSync(path)) throw new Error(`No Chromium at ${path}: apt-get install chromium`);
  return path;
}

export interface Look {
  width: number;
  height?: number;
  palette?: 'light' | 'dark';
  motion?: 'reduce' | 'no-preference';
  /** More of Chromium's own switches. */
  args?: readonly string[];
}

export interface Window {
  page: Page;
  /** What the page wrote to the console as an error, and every uncaught one. */
  errors: string[];
  /** Every address the page asked for. */
  requests: string[];
  /** The computed style of the first element that a CSS selector finds. */
  styleOf(selector: string, property: string): Promise<string>;
  close(): Promise<void>;
}

/** Opens a browser of its own; `close` ends it and removes its profile. */
export async function openWindow(look: Look): Promise<Window> {
  const profile = await mkdtemp(join(tmpdir(), 'panelward-browser-'));
  const context: BrowserContext = await chromium.launchPersistentContext(profile, {
    executablePath: chromiumPath(),
    args: [...ARGS, ...(look.args ?? [])],
    viewport: { width: look.width, height: look.height ?? 800 },
    colorScheme: look.palette ?? 'light',
    reducedMotion: look.motion ?? 'no-preference',
    locale: 'en-GB',
    timezoneId: 'America/New_York',
  });
  const page = context.pages()[0] ?? (await context.newPage());
  const errors: string[] = [];
  const requests: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error') errors.push(message.text());
  });
  page.on('pageerror', (error) => errors.push(String(error)));
  page.on('request', (request) => requests.push(request.url()));
  return {
    page,
    errors,
    requests,
    styleOf: (selector, property) =>
      page.evaluate<string>(
        `getComputedStyle(document.querySelector(${JSON.stringify(selector)})).getPropertyValue(${JSON.stringify(property)})`,
      ),
    close: async () => {
      await context.close();
      await rm(profile, { recursive: true, force: true });
    },
  };
}
