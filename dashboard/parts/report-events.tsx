/** The alerts of a period and what changed at the panel, as they are printed. */
import type { PanelEvent } from '../../daemon/api/contract.ts';
import { stampText } from '../format.ts';
import type { ReportedAlert } from '../models/report-alerts.ts';
import { texts } from '../texts.ts';

const words = texts.report;

function acknowledgedText({ acknowledged }: ReportedAlert): string {
  if (acknowledged === null) return words.nobody;
  return words.acknowledgedBy(acknowledged.by, stampText(acknowledged.atMs));
}

export function ReportAlerts({ alerts, isCut }: { alerts: ReportedAlert[]; isCut: boolean }) {
  return (
    <section>
      <h4>{words.alerts}</h4>
      {alerts.length === 0 ? (
        <p>{words.noAlerts}</p>
      ) : (
        <div class="scrolls" tabIndex={0} role="region" aria-label={words.alerts}>
          <table class="happened">
            <thead>
              <tr>
                {Object.entries(words.alert).map(([key, text]) => (
                  <th scope="col" key={key}>
                    {text}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {alerts.map((alert) => (
                <tr key={alert.id}>
                  <td class="number">{stampText(alert.fromMs)}</td>
                  <td>{texts.alerts.priority[alert.priority]}</td>
                  <th scope="row">{alert.title}</th>
                  <td>{alert.toMs === null ? words.stillOpen : stampText(alert.toMs)}</td>
                  <td>{acknowledgedText(alert)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {isCut && <p>{words.alertsCut}</p>}
    </section>
  );
}

export function ReportEvents({ events, isCut }: { events: PanelEvent[]; isCut: boolean }) {
  return (
    <section>
      <h4>{words.events}</h4>
      {isCut && <p>{words.eventsCut}</p>}
      {events.length === 0 ? (
        <p>{words.noEvents}</p>
      ) : (
        <div class="paper-moments">
          <table class="happened">
            <thead>
              <tr>
                <th scope="col">{words.when}</th>
                <th scope="col">{words.alert.title}</th>
              </tr>
            </thead>
            <tbody>
              {events.map(({ atMs, part, type, text }) => (
                <tr key={`${atMs} ${type} ${part} ${text}`}>
                  <td class="number">{stampText(atMs)}</td>
                  <th scope="row">{text}</th>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </section>
  );
}
