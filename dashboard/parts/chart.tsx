/** A chart of the points that share a unit, with its words below. */
import { useEffect, useRef, useState } from 'preact/hooks';
import type { DrawnChart } from '../chart-drawing.ts';
import { unitShown } from '../format.ts';
import type { Backdrop } from '../models/bands.ts';
import type { Drawing } from '../models/drawing.ts';
import type { Stretch } from '../models/stretch.ts';
import { texts } from '../texts.ts';
import { ChartFrame } from './chart-frame.tsx';
import { ChartWords } from './chart-words.tsx';

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
  const canvas = useRef<HTMLCanvasElement>(null);
  const drawn = useRef<DrawnChart | null>(null);
  const newest = useRef(props);
  newest.current = props;
  const [hasFailed, setFailed] = useState(false);

  useEffect(() => {
    let isGone = false;
    const draw = async () => {
      try {
        const { drawChart } = await import('../chart-drawing.ts');
        if (isGone || canvas.current === null) return;
        const now = newest.current;
        drawn.current = drawChart(canvas.current, now.drawing, now.backdrop);
      } catch (error) {
        console.error(error);
        setFailed(true);
      }
    };
    void draw();
    return () => {
      isGone = true;
      drawn.current?.stop();
      drawn.current = null;
    };
  }, []);

  useEffect(() => drawn.current?.update(drawing, backdrop), [drawing, backdrop]);

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
