/** The body of an alert: what it means, what to do, which numbers stand behind it. */
import type { Alert, Evident } from '../../daemon/api/contract.ts';
import { clockText, evidentText } from '../format.ts';
import { texts } from '../texts.ts';

const words = texts.alerts;

function Numbers({ evidence }: { evidence: readonly Evident[] }) {
  if (evidence.length === 0) return null;
  return (
    <table class="alert-numbers">
      <caption class="for-ears">{words.numbers}</caption>
      <thead>
        <tr>
          <th scope="col">{words.number}</th>
          <th scope="col">{words.value}</th>
          <th scope="col">{words.threshold}</th>
        </tr>
      </thead>
      <tbody>
        {evidence.map((number) => (
          <tr key={number.what}>
            <th scope="row">{number.what}</th>
            <td class="number">
              <span class="narrow-only">{words.valueIs} </span>
              {number.value === null ? texts.known.unknown : evidentText(number.value, number.unit)}
            </td>
            <td class="number">
              <span class="narrow-only">{words.thresholdIs} </span>
              {evidentText(number.threshold, number.unit)}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** What happened to the alert after it was raised, as whole sentences. */
function lifeOf(alert: Alert, nowMs: number): string[] {
  const life = [alert.confidence === 'measured' ? words.measured : words.inferred];
  if (alert.acknowledgedBy !== null && alert.acknowledgedAtMs !== null) {
    const clock = clockText(alert.acknowledgedAtMs, nowMs);
    life.push(words.acknowledgedBy(alert.acknowledgedBy, clock));
  }
  if (alert.returnedAtMs !== null) {
    const clock = clockText(alert.returnedAtMs, nowMs);
    const isLost = alert.ended?.why === 'lost in a restart';
    life.push(isLost ? words.lost(clock) : words.over(clock));
  }
  return life;
}

/** In the record nobody has to act any more, so what was to be done loses its colour. */
export function AlertText({ alert, nowMs }: { alert: Alert; nowMs: number }) {
  return (
    <div class="alert-text">
      <p>
        <span class="for-ears">{words.means}: </span>
        {alert.means}
      </p>
      <div class="do-this" data-over={alert.phase === 'closed'}>
        <h4>{alert.phase === 'closed' ? words.didThis : words.doThis}</h4>
        <p>{alert.doThis}</p>
      </div>
      {alert.cautions.length > 0 && (
        <div class="cautions">
          <h4>{words.cautions}</h4>
          <ul>
            {alert.cautions.map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
        </div>
      )}
      {alert.symptoms.length > 0 && (
        <div class="symptoms">
          <h4>{words.symptoms}</h4>
          <ul>
            {alert.symptoms.map(({ key, title }) => (
              <li key={key}>{title}</li>
            ))}
          </ul>
        </div>
      )}
      <Numbers evidence={alert.evidence} />
      <p class="soft">{lifeOf(alert, nowMs).join(' ')}</p>
    </div>
  );
}
