/** For technicians: who is registered, who is signed in, and what was done. Asked for only on demand. */
import { useState } from 'preact/hooks';
import type { AuditEntry, SessionAnswer } from '../../daemon/api/contract.ts';
import { askAudit, askPersons, askSessions, postEndSession } from '../api.ts';
import { useAsked } from '../asking.ts';
import { visitor } from '../access.ts';
import { clockText } from '../format.ts';
import { boatNowMs } from '../live.ts';
import { mayChange } from '../models/roles.ts';
import { texts } from '../texts.ts';
import { Problem } from './problem.tsx';

const words = texts.access.people;
const ROWS = 50;

function Persons() {
  const { answer, problem, again } = useAsked(askPersons, []);
  return (
    <>
      <h4>{words.persons}</h4>
      {problem !== null && <Problem text={problem} again={again} />}
      <ul class="people">
        {answer?.persons.map(({ number, name, role }) => (
          <li key={number}>
            <span>{name}</span> <span class="soft">{texts.access.role[role]}</span>
          </li>
        ))}
      </ul>
      <p class="soft">{words.change}</p>
    </>
  );
}

function SessionRow({ session, end }: { session: SessionAnswer; end: () => void }) {
  const { name, address, seenAtMs, isOwn } = session;
  const clock = clockText(seenAtMs, boatNowMs.value ?? seenAtMs);
  return (
    <li>
      <span>
        {name} <span class="soft">{words.from(address, clock)}</span>
        {isOwn && <span class="soft">, {words.own}</span>}
      </span>
      <button type="button" onClick={end}>
        {words.end}
        <span class="for-ears"> {words.endOf(name)}</span>
      </button>
    </li>
  );
}

function Sessions() {
  const { answer, problem, again } = useAsked(askSessions, []);
  const [refusal, setRefusal] = useState<string | null>(null);
  const end = async (number: number) => {
    const said = await postEndSession(number);
    setRefusal(said.ok ? null : said.problem);
    again();
  };
  const wrong = refusal ?? problem;
  return (
    <>
      <h4>{words.sessions}</h4>
      {wrong !== null && <Problem text={wrong} again={again} />}
      <ul class="people">
        {answer?.sessions.map((session) => (
          <SessionRow key={session.number} session={session} end={() => void end(session.number)} />
        ))}
      </ul>
    </>
  );
}

function AuditRow({ entry }: { entry: AuditEntry }) {
  const { who, address, act, object, outcome, clockMs } = entry;
  return (
    <li>
      <span class="soft">{clockText(clockMs, boatNowMs.value ?? clockMs)}</span>{' '}
      {words.by(who === '' ? words.nobody : who, address)}: {act} {object} <b>{outcome}</b>
    </li>
  );
}

function Trail() {
  const [older, setOlder] = useState<readonly AuditEntry[]>([]);
  const { answer, problem, again } = useAsked(() => askAudit(ROWS), []);
  const [isEnd, setEnd] = useState(false);
  const entries = [...(answer?.entries ?? []), ...older];
  const more = async () => {
    const said = await askAudit(ROWS, entries.at(-1)?.seq);
    if (!said.ok) return;
    setOlder([...older, ...said.answer.entries]);
    setEnd(said.answer.entries.length < ROWS);
  };
  return (
    <>
      <h4>{words.audit}</h4>
      <p class="soft">{words.auditHint}</p>
      {problem !== null && <Problem text={problem} again={again} />}
      <ol class="audit">
        {entries.map((entry) => (
          <AuditRow key={entry.seq} entry={entry} />
        ))}
      </ol>
      {entries.length >= ROWS && !isEnd && (
        <button type="button" onClick={() => void more()}>
          {words.older}
        </button>
      )}
    </>
  );
}

export function People() {
  const [isShown, setShown] = useState(false);
  const who = visitor.value;
  if (who === null || !mayChange(who) || !who.canSignIn) return null;
  return (
    <section aria-labelledby="people-heading">
      <h3 id="people-heading">{words.heading}</h3>
      {isShown ? (
        <>
          <Persons />
          <Sessions />
          <Trail />
        </>
      ) : (
        <button type="button" onClick={() => setShown(true)}>
          {words.load}
        </button>
      )}
    </section>
  );
}
