/** A chart of the points that share a unit, with its words below. */
import { useEffect, useRef, useState } from 'preact/hooks';
import type { DrawnChart } from '../chart-drawing.ts';
import { unitShown } from '../format.ts';
import type { Drawing } from '../models/drawing.ts';
import { texts } from '../texts.ts';
import { ChartWords } from './chart-words.tsx';

export interface ChartProps {
  drawing: Drawing;
  nowMs: number;
  drop: (pointId: string) => void;
}

export function TrendChart({ drawing, nowMs, drop }: ChartProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const drawn = useRef<DrawnChart | null>(null);
  const newest = useRef(drawing);
  newest.current = drawing;
  const [hasFailed, setFailed] = useState(false);

  useEffect(() => {
    let isGone = false;
    const draw = async () => {
      try {
        const { drawChart } = await import('../chart-drawing.ts');
        if (isGone || canvas.current === null) return;
        drawn.current = drawChart(canvas.current, newest.current);
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

  useEffect(() => drawn.current?.update(drawing), [drawing]);

  const labels = texts.list.and(drawing.points.map(({ label }) => label));
  return (
    <section class="chart">
      <h3>
        {texts.history.plot(texts.quantity[drawing.plot.quantity], unitShown(drawing.plot.unit))}
      </h3>
      {hasFailed ? (
        <p class="problem">{texts.history.drawingFailed}</p>
      ) : (
        <div class="chart-canvas">
          <canvas
            ref={canvas}
            role="img"
            aria-label={texts.history.unit(unitShown(drawing.plot.unit), labels)}
          />
        </div>
      )}
      <ChartWords drawing={drawing} nowMs={nowMs} drop={drop} />
    </section>
  );
}
