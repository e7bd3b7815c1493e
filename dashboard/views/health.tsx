/** How panelward itself is: sensors, what comes in, what is stored. */
import type { HealthAnswer } from '../../daemon/api/contract.ts';
import { askHealth } from '../api.ts';
import { useAsked } from '../asking.ts';
import { ageText, clockText, fixed, withUnit } from '../format.ts';
import { health, panel } from '../live.ts';
import { Facts } from '../parts/facts.tsx';
import { IntakeFacts } from '../parts/intake-facts.tsx';
import { People } from '../parts/people.tsx';
import { Problem } from '../parts/problem.tsx';
import { SensorTable } from '../parts/sensor-table.tsx';
import { StoreFacts } from '../parts/store-facts.tsx';
import { WaysList } from '../parts/ways-list.tsx';
import { texts } from '../texts.ts';

const words = texts.health;
const ASK_EVERY_MS = 5_000;

function Program({ answer }: { answer: HealthAnswer }) {
  const { version, startedAtMs, nowMs, evaluation, clock } = answer;
  const { lastTookMs, count } = evaluation;
  const started = `${clockText(startedAtMs, nowMs)} (${ageText(nowMs - startedAtMs)})`;
  return (
    <section aria-labelledby="program-heading">
      <h3 id="program-heading">{words.program}</h3>
      <Facts
        facts={[
          [words.version, version],
          [words.started, started],
          [words.evaluations, fixed(count, 0)],
          [words.clock, clock.says],
          [words.lastTook, lastTookMs === null ? words.never : withUnit(lastTookMs, 1, 'ms')],
        ]}
      />
    </section>
  );
}

export function HealthView() {
  // The live stream tells at once when the status changes.
  const { answer, problem, again } = useAsked(askHealth, [health.value?.status], ASK_EVERY_MS);
  return (
    <section aria-labelledby="health-heading">
      <h2 id="health-heading">{words.heading}</h2>
      {problem !== null && <Problem text={problem} again={again} />}
      {answer === null && problem === null && <p class="soft">{texts.loading}</p>}
      {answer !== null && (
        <>
          <div class="health-status" data-status={answer.status}>
            <p>{answer.status === 'ok' ? words.ok : words.degraded}</p>
            {answer.problems.length > 0 && (
              <ul>
                {answer.problems.map((sentence) => (
                  <li key={sentence}>{sentence}</li>
                ))}
              </ul>
            )}
          </div>
          <div class="health">
            <SensorTable points={answer.points} panel={panel.value} />
            <div class="health-side">
              <IntakeFacts intake={answer.intake} nowMs={answer.nowMs} />
              <StoreFacts store={answer.store} nowMs={answer.nowMs} />
              <WaysList nowMs={answer.nowMs} />
              <Program answer={answer} />
              <People />
            </div>
          </div>
        </>
      )}
    </section>
  );
}
