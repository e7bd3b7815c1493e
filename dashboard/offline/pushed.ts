/** What a message that was pushed to this browser looks like, and what a touch of it opens. Pure. */

export interface Shown {
  title: string;
  options: {
    body: string;
    tag: string;
    /** A newer word about the same alert takes its place, and is heard all the same. */
    renotify: boolean;
    /** Stays until somebody has touched it. */
    requireInteraction: boolean;
    icon: string;
    data: { opens: string };
  };
}

/** Of a message without words, which the browser would otherwise show as a riddle of its own. */
const NO_WORDS = 'A message of the boat has come without words. Open the page to see how she is.';

/** `text` is what has arrived; what is not understood is shown as it is, never as nothing. */
export function shownOf(text: string): Shown {
  const message = fieldsOf(text);
  const of = (name: string): string => {
    const value = message?.get(name);
    return typeof value === 'string' ? value : '';
  };
  const about = of('alertId');
  const headline = of('headline');
  const priority = of('priority');
  const isUrgent = priority === 'emergency alarm' || priority === 'alarm';
  const body = message === null ? text : of('text');
  return {
    title: headline === '' ? 'panelward' : headline,
    options: {
      body: body === '' && headline === '' ? NO_WORDS : body,
      tag: about === '' ? of('key') || 'panelward' : about,
      renotify: true,
      requireInteraction: isUrgent && of('kind') !== 'all clear',
      icon: 'icon-192.png',
      data: { opens: about === '' ? '#alerts' : `#alerts?alert=${encodeURIComponent(about)}` },
    },
  };
}

/** What a notification of this page opens, relative to it. */
export function opensOf(data: unknown): string {
  if (typeof data !== 'object' || data === null || !('opens' in data)) return '#alerts';
  const { opens } = data;
  return typeof opens === 'string' && opens.startsWith('#') ? opens : '#alerts';
}

function fieldsOf(text: string): Map<string, unknown> | null {
  try {
    const said: unknown = JSON.parse(text);
    return typeof said === 'object' && said !== null ? new Map(Object.entries(said)) : null;
  } catch {
    return null;
  }
}
