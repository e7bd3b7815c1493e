/**
 * The chart behind an alert. Its code is loaded when it is first asked for: the first view has no
 * charts.
 */
import type { ComponentType } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Alert } from '../../daemon/api/contract.ts';
import { spanOf } from '../models/evidence.ts';
import { texts } from '../texts.ts';
import type { PointsChartProps } from './points-chart.tsx';
import { Problem } from './problem.tsx';

const words = texts.alerts;

export function EvidenceChart({ alert, nowMs }: { alert: Alert; nowMs: number }) {
  // It shows what was so when it was opened; a chart that jumps every second shows nothing.
  const span = useRef(spanOf(alert, nowMs));
  const [chart, setChart] = useState<{ Chart: ComponentType<PointsChartProps> } | null>(null);
  const [hasFailed, setFailed] = useState(false);
  useEffect(() => {
    import('./points-chart.tsx').then(
      ({ PointsChart }) => setChart({ Chart: PointsChart }),
      () => setFailed(true),
    );
  }, []);
  if (hasFailed) return <Problem text={texts.viewFailed} />;
  if (chart === null) return <p class="soft">{texts.loading}</p>;
  const { Chart } = chart;
  return (
    <>
      <p class="soft">{words.evidenceFrom}</p>
      <Chart points={alert.points} span={span.current} none={words.noEvidence} />
    </>
  );
}
