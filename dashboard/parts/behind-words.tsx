/** The bands behind the curves in words. */
import { instantText } from '../format.ts';
import type { Backdrop } from '../models/bands.ts';
import type { Stretch } from '../models/stretch.ts';
import { texts } from '../texts.ts';

const words = texts.history;
const MOST = 40;

export function BehindWords({ backdrop, span }: { backdrop: Backdrop; span: Stretch }) {
  const { feeds } = backdrop;
  if (feeds.length === 0) return null;
  return (
    <details class="behind">
      <summary>{words.fedHeading}</summary>
      <ol>
        {feeds.slice(0, MOST).map(({ band: { fromMs, toMs }, text }) => (
          <li key={fromMs}>
            {words.bandsAs(instantText(fromMs, span), instantText(toMs, span), text)}
          </li>
        ))}
      </ol>
      {feeds.length > MOST && <p class="soft">{words.moreBands(feeds.length - MOST)}</p>}
    </details>
  );
}
