import { describe, expect, test } from 'vitest';
import { readReport, reportQuery } from '../../dashboard/models/report-address.ts';
import { reportedAlerts } from '../../dashboard/models/report-alerts.ts';
import { PAST_ALERTS } from '../browser/scripted-alerts.ts';
import { scriptedBands } from '../browser/scripted-look-back.ts';
import { EVENING_MS } from '../browser/scripted-panel.ts';

describe('the address of a report', () => {
  test.each([
    { span: { fromMs: 5, toMs: 9 }, hasEvents: true },
    { span: null, hasEvents: false },
    { span: null, hasEvents: true },
  ])('reads back as it was written: %o', (choice) => {
    expect(readReport(reportQuery(choice))).toEqual(choice);
  });

  test.each(['from=9&to=5', 'from=&to=4', 'from=1', 'from=1&to=1e99', 'month=august'])(
    'that makes no sense (%s) has no period',
    (query) => {
      expect(readReport(query)).toEqual({ span: null, hasEvents: true });
    },
  );
});

describe('the alerts of a report', () => {
  const { alerts } = scriptedBands({ fromMs: 0, toMs: EVENING_MS });

  test('stand in order of time with who acknowledged them', () => {
    const reported = reportedAlerts([...alerts].reverse(), PAST_ALERTS);
    expect(reported.map(({ fromMs }) => fromMs)).toEqual(
      [...reported].map(({ fromMs }) => fromMs).sort((a, b) => a - b),
    );
    expect(reported.at(-1)?.acknowledged).toEqual({
      by: 'Wren',
      atMs: PAST_ALERTS[0]?.acknowledgedAtMs,
    });
  });

  test('count as acknowledged by nobody where nothing says so', () => {
    expect(reportedAlerts(alerts, []).map(({ acknowledged }) => acknowledged)).toEqual(
      alerts.map(() => null),
    );
  });
});
