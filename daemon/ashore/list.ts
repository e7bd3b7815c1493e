/** The boats as a short list for a browser. Text only: nothing is loaded, nothing runs. */
import type { BoatStanding } from './watcher.ts';

export const LIST_HEADERS = {
  'content-security-policy':
    "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'cache-control': 'no-store',
} as const;

/** `when` writes a UTC instant for a person. */
export function listPage(
  boats: readonly BoatStanding[],
  problems: readonly string[],
  when: (ms: number) => string,
): string {
  const rows = boats.map(({ name, standing, lastHeardAtMs, says }) => {
    const heard = lastHeardAtMs === null ? 'never' : when(lastHeardAtMs);
    const known = says === null ? '' : `; last known: ${says}`;
    return `<li><strong>${escaped(name)}</strong>: ${escaped(`${standing}; last heard ${heard}${known}`)}</li>`;
  });
  return [
    '<!doctype html><html lang="en"><head><meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width"><title>panelward ashore</title></head><body>',
    '<h1>Boats that are listened for</h1>',
    rows.length === 0 ? '<p>The settings name no boat.</p>' : `<ul>${rows.join('\n')}</ul>`,
    ...problems.map((problem) => `<p>${escaped(problem)}</p>`),
    '</body></html>',
  ].join('\n');
}

const ESCAPES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

const escaped = (text: string): string =>
  text.replaceAll(/[&<>"']/g, (character) => ESCAPES[character] ?? '');
