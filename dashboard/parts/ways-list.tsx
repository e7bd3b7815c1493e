/** Ways out of the boat: when each last worked, and a test of it. Not shown to whoever may not ask. */
import { useState } from 'preact/hooks';
import type { WaysAnswer } from '../../daemon/api/contract.ts';
import { askWays, postWayTest } from '../api.ts';
import { visitor } from '../access.ts';
import { useAsked } from '../asking.ts';
import { clockText } from '../format.ts';
import { mayChange } from '../models/roles.ts';
import { texts } from '../texts.ts';
import { PushChoice } from './push-choice.tsx';

const words = texts.health;
const ASK_EVERY_MS = 30_000;

type WayState = WaysAnswer['ways'][number];

function WayLine({ way, nowMs, again }: { way: WayState; nowMs: number; again: () => void }) {
  const [said, setSaid] = useState<string | null>(null);
  const [isTesting, setIsTesting] = useState(false);
  const test = async () => {
    setIsTesting(true);
    setSaid(words.testing);
    const answered = await postWayTest(way.id);
    setIsTesting(false);
    setSaid(answered.ok ? answered.answer.says : answered.problem);
    again();
  };
  const sent = way.lastSentAtMs === null ? words.never : clockText(way.lastSentAtMs, nowMs);
  return (
    <li>
      <p>
        <strong>{way.id}</strong> ({way.kind}) {words.wayState(sent, way.waiting)}
      </p>
      {way.lastProblem !== null && <p>{words.wayProblem(way.lastProblem)}</p>}
      {mayChange(visitor.value) && (
        <button type="button" disabled={isTesting} onClick={() => void test()}>
          {words.testWay(way.id)}
        </button>
      )}
      <p role="status">{said}</p>
    </li>
  );
}

export function WaysList({ nowMs }: { nowMs: number }) {
  const { answer, again } = useAsked(askWays, [], ASK_EVERY_MS);
  if (answer === null || answer.ways.length === 0) return null;
  return (
    <section aria-labelledby="ways-heading">
      <h3 id="ways-heading">{words.ways}</h3>
      <ul class="store-problems">
        {answer.ways.map((way) => (
          <WayLine key={way.id} way={way} nowMs={nowMs} again={again} />
        ))}
      </ul>
      <PushChoice pushKey={answer.pushKey} contacts={answer.contacts} />
    </section>
  );
}
