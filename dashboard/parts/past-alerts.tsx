/** Closed alerts, newest first, a page at a time. */
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Alert, Priority } from '../../daemon/api/contract.ts';
import { askAlert, askPastAlerts, type AlertSearch } from '../api.ts';
import { useAsked } from '../asking.ts';
import { ageText, clockText } from '../format.ts';
import { closedCount } from '../live.ts';
import { withOlder } from '../models/past.ts';
import { texts } from '../texts.ts';
import { AlertText } from './alert-text.tsx';
import { PriorityMark } from './mark.tsx';
import { Problem } from './problem.tsx';

const words = texts.past;
const PAGE = 50;

function Story({ id, nowMs }: { id: string; nowMs: number }) {
  const { answer, problem } = useAsked(() => askAlert(id), [id]);
  return (
    <>
      <h4>{words.story}</h4>
      {problem !== null && <Problem text={problem} />}
      <ol class="happenings">
        {answer?.events.map(({ seq, atMs, type, actor }) => (
          <li key={seq}>
            <span class="number">{clockText(atMs, nowMs)}</span>{' '}
            <span>
              {words.event[type]} <span class="soft">{words.by(actor)}</span>
            </span>
          </li>
        ))}
      </ol>
    </>
  );
}

function PastAlert({ alert, nowMs }: { alert: Alert; nowMs: number }) {
  const [isOpen, setOpen] = useState(false);
  const began = clockText(alert.sinceMs, nowMs);
  const { returnedAtMs, sinceMs } = alert;
  return (
    <li class="past-alert" data-priority={alert.priority}>
      <details onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>
          <PriorityMark priority={alert.priority} />
          <span>
            <span class="past-kind">
              {texts.alerts.priority[alert.priority]},{' '}
              {returnedAtMs === null ? began : words.lasted(began, ageText(returnedAtMs - sinceMs))}
            </span>
            <span class="past-title">{alert.title}</span>
          </span>
        </summary>
        {isOpen && (
          <>
            <AlertText alert={alert} nowMs={nowMs} />
            <Story id={alert.id} nowMs={nowMs} />
          </>
        )}
      </details>
    </li>
  );
}

/** A word that is still being typed is not asked for. */
const TYPED_AFTER_MS = 350;
const PRIORITIES: readonly Priority[] = ['emergency alarm', 'alarm', 'warning', 'caution'];
const ANY: AlertSearch = { text: '', priority: null };

function Search({ search, change }: { search: AlertSearch; change: (to: AlertSearch) => void }) {
  return (
    <div class="past-search" role="search" aria-label={words.search}>
      <label>
        {words.find}
        <input
          type="search"
          maxLength={100}
          value={search.text}
          onInput={(event) => change({ ...search, text: event.currentTarget.value })}
        />
      </label>
      <label>
        {words.priority}
        <select
          value={search.priority ?? ''}
          onChange={(event) => {
            const chosen = PRIORITIES.find((one) => one === event.currentTarget.value);
            change({ ...search, priority: chosen ?? null });
          }}
        >
          <option value="">{words.anyPriority}</option>
          {PRIORITIES.map((priority) => (
            <option key={priority} value={priority}>
              {texts.alerts.priority[priority]}
            </option>
          ))}
        </select>
      </label>
    </div>
  );
}

const isAny = ({ text, priority }: AlertSearch): boolean => text.trim() === '' && priority === null;

export function PastAlerts({ nowMs }: { nowMs: number | null }) {
  const [search, setSearch] = useState(ANY);
  const [alerts, setAlerts] = useState<readonly Alert[] | null>(null);
  const [isComplete, setComplete] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const newest = useRef(search);
  const closed = closedCount.value;

  const askFirst = async () => {
    const said = await askPastAlerts(PAGE, search);
    // What was typed meanwhile has a question of its own.
    if (newest.current !== search) return;
    setProblem(said.ok ? null : said.problem);
    if (!said.ok) return;
    setAlerts(said.answer.alerts);
    setComplete(said.answer.alerts.length < PAGE);
  };
  // Asked again whenever an alert closes while the page is open.
  useEffect(() => {
    newest.current = search;
    const timer = setTimeout(() => void askFirst(), isAny(search) ? 0 : TYPED_AFTER_MS);
    return () => clearTimeout(timer);
  }, [closed, search]);

  const askOlder = async () => {
    const last = alerts?.at(-1);
    if (last === undefined) return;
    // One millisecond of overlap: several alerts may have been raised at the same instant.
    const said = await askPastAlerts(PAGE, search, last.raisedAtMs + 1);
    if (newest.current !== search) return;
    setProblem(said.ok ? null : said.problem);
    if (!said.ok) return;
    const { list, added } = withOlder(alerts ?? [], said.answer.alerts);
    setAlerts(list);
    setComplete(added === 0);
  };

  return (
    <section aria-labelledby="past-heading">
      <h3 id="past-heading">{words.heading}</h3>
      <Search search={search} change={setSearch} />
      {problem !== null && <Problem text={problem} again={() => void askFirst()} />}
      {alerts === null && problem === null && <p class="soft">{texts.loading}</p>}
      <p class="soft" role="status">
        {alerts?.length === 0 && (isAny(search) ? words.none : words.noneFound)}
      </p>
      <ol class="past-alerts">
        {alerts?.map((alert) => (
          <PastAlert key={alert.id} alert={alert} nowMs={nowMs ?? alert.raisedAtMs} />
        ))}
      </ol>
      {alerts !== null && alerts.length > 0 && !isComplete && (
        <button type="button" onClick={() => void askOlder()}>
          {words.older}
        </button>
      )}
    </section>
  );
}
