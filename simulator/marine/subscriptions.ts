/**
 * What one client of the open marine data server has asked for, and what is to be sent to it when.
 * Pure: time comes in as milliseconds of the boat. Policies as the published specification has them:
 * `instant` sends every change but no two within `minPeriod` (the last one waits, none is dropped),
 * `ideal` also repeats the last value after a silent `period`, `fixed` sends the last known values
 * every `period`.
 */

/** One value as it was said, with its source and time. */
export interface Said {
  context: string;
  path: string;
  $source: string;
  timestamp: string;
  value: unknown;
}

export interface Row {
  /** Full context, or `*`. */
  context: string;
  /** Path with `*` for any run of characters. */
  path: string;
  /** Only this source. */
  $source?: string;
  policy: 'instant' | 'ideal' | 'fixed';
  periodMs: number;
  minPeriodMs: number;
}

interface Pending {
  said: Said;
  sentAtMs: number;
  /** Said since it was last sent. */
  isNew: boolean;
}

interface Kept {
  row: Row;
  pattern: RegExp;
  contextPattern: RegExp;
  /** By path and source. */
  pending: Map<string, Pending>;
  nextMs: number;
}

export const keyOf = (said: Said): string => `${said.context} ${said.path} ${said.$source}`;

export class Subscriptions {
  #kept: Kept[] = [];

  /** Takes a row on, in place of one for the same path; gives back what of `cache` it asks for. */
  add(row: Row, cache: Iterable<Said>, nowMs: number): Said[] {
    this.#kept = this.#kept.filter(({ row: old }) => !isSamePlace(old, row));
    const kept: Kept = {
      row,
      pattern: wildcard(row.path),
      contextPattern: wildcard(row.context),
      pending: new Map(),
      nextMs: nowMs + row.periodMs,
    };
    this.#kept.push(kept);
    const known = [...cache].filter((said) => wants(kept, said));
    for (const said of known) {
      kept.pending.set(keyOf(said), { said, sentAtMs: nowMs, isNew: false });
    }
    return known;
  }

  /** Drops the rows for this context and path; `*` drops all of a context, or all. */
  remove(context: string, path: string): void {
    this.#kept = this.#kept.filter(({ row }) => {
      const isContext = context === '*' || context === row.context;
      return !(isContext && (path === '*' || path === row.path));
    });
  }

  /** A new value; gives back what is to be sent at once. */
  offer(said: Said, nowMs: number): Said[] {
    let isDue = false;
    for (const kept of this.#kept) {
      if (!wants(kept, said)) continue;
      const before = kept.pending.get(keyOf(said));
      const isSendable =
        kept.row.policy !== 'fixed' &&
        (before === undefined || nowMs - before.sentAtMs >= kept.row.minPeriodMs);
      const sentAtMs = isSendable ? nowMs : (before?.sentAtMs ?? -Infinity);
      kept.pending.set(keyOf(said), { said, sentAtMs, isNew: !isSendable });
      isDue ||= isSendable;
    }
    return isDue ? [said] : [];
  }

  /** What has become due by the passing of time alone. */
  due(nowMs: number): Said[] {
    const due = new Map<string, Said>();
    for (const kept of this.#kept) {
      for (const pending of this.#dueOf(kept, nowMs)) {
        due.set(keyOf(pending.said), pending.said);
        pending.sentAtMs = nowMs;
        pending.isNew = false;
      }
    }
    return [...due.values()];
  }

  #dueOf(kept: Kept, nowMs: number): Pending[] {
    const { row, pending } = kept;
    const all = [...pending.values()];
    if (row.policy === 'fixed') {
      if (nowMs < kept.nextMs) return [];
      kept.nextMs = Math.max(nowMs, kept.nextMs + row.periodMs);
      return all;
    }
    return all.filter(({ isNew, sentAtMs }) => {
      const silentMs = nowMs - sentAtMs;
      if (isNew) return silentMs >= row.minPeriodMs;
      return row.policy === 'ideal' && silentMs >= row.periodMs;
    });
  }
}

function wants({ row, pattern, contextPattern }: Kept, said: Said): boolean {
  if (row.$source !== undefined && row.$source !== said.$source) return false;
  return contextPattern.test(said.context) && pattern.test(said.path);
}

function isSamePlace(a: Row, b: Row): boolean {
  return a.context === b.context && a.path === b.path && a.$source === b.$source;
}

/** `*` stands for any run of characters; everything else for itself. */
function wildcard(text: string): RegExp {
  const parts = text
    .split('*')
    .map((part) => part.replaceAll(/[.+?^${}()|[\]\\]/g, String.raw`\$&`));
  return new RegExp(`^${parts.join('.*')}$`);
}
