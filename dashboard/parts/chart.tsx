/** A chart of the points that share a unit, with its words below. */
import { unitShown } from '../format.ts';
import type { Backdrop } from '../models/bands.ts';
import type { Drawing } from '../models/drawing.ts';
import type { Stretch } from '../models/stretch.ts';
import { texts } from '../texts.ts';
import { ChartFrame } from './chart-frame.tsx';
import { ChartWords } from './chart-words.tsx';
import { useDrawnChart } from './drawn-chart.ts';

export interface ChartProps {
  drawing: Drawing;
  backdrop: Backdrop;
  nowMs: number;
  /** The time that was asked for last. */
  wanted: Stretch;
  /** What is shown has been asked for anew. */
  isBusy: boolean;
  drop: (pointId: string) => void;
  move: (span: Stretch) => void;
  pick: (span: Stretch) => void;
}

export function TrendChart(props: ChartProps) {
  const { drawing, backdrop } = props;
  const { canvas, drawn, hasFailed } = useDrawnChart(drawing, backdrop);
  const labels = texts.list.and(drawing.points.map(({ label }) => label));
  return (
    <section class="chart" aria-busy={props.isBusy}>
      <h3>
        {texts.history.plot(texts.quantity[drawing.plot.quantity], unitShown(drawing.plot.unit))}
      </h3>
      {hasFailed ? (
        <p class="problem">{texts.history.drawingFailed}</p>
      ) : (
        <ChartFrame
          label={labels}
          span={drawing.span}
          wanted={props.wanted}
          edges={() => drawn.current?.edges() ?? null}
          move={props.move}
          pick={props.pick}
        >
          <canvas
            ref={canvas}
            role="img"
            aria-label={texts.history.unit(unitShown(drawing.plot.unit), labels)}
          />
        </ChartFrame>
      )}
      <ChartWords {...props} />
    </section>
  );
}
