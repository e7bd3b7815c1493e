/** What is on the disk and what still waits for it. */
import type { StoreHealth } from '../../daemon/api/contract.ts';
import { bytesText, clockText, fixed } from '../format.ts';
import { texts } from '../texts.ts';
import { Facts } from './facts.tsx';

const words = texts.health;

function freeText({ freeBytes, totalBytes }: StoreHealth): string {
  if (freeBytes === null) return texts.known.unknown;
  const free = bytesText(freeBytes);
  return totalBytes === null ? free : words.freeOf(free, bytesText(totalBytes));
}

export function StoreFacts({ store, nowMs }: { store: StoreHealth; nowMs: number }) {
  const facts: [string, string][] = [
    [words.writable, store.isWritable ? words.yes : words.no],
    [words.size, bytesText(store.bytes)],
    [words.stored, fixed(store.readingsStored, 0)],
    [words.buffered, fixed(store.readingsBuffered, 0)],
    [words.lost, fixed(store.readingsLost, 0)],
    [
      words.lastFlush,
      store.lastFlushAtMs === null ? words.never : clockText(store.lastFlushAtMs, nowMs),
    ],
    [words.free, freeText(store)],
    [words.space, words.spaceIs[store.space]],
    [words.alertsFile, store.alertsFile],
    [words.historyFile, store.historyFile],
  ];
  if (store.filesSetAside > 0) facts.push([words.setAside, fixed(store.filesSetAside, 0)]);
  if (store.lastError !== null) facts.push([words.lastError, store.lastError]);
  return (
    <section aria-labelledby="store-heading">
      <h3 id="store-heading">{words.store}</h3>
      <Facts facts={facts} />
      {store.problems.length > 0 && (
        <ul class="store-problems">
          {store.problems.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      )}
    </section>
  );
}
