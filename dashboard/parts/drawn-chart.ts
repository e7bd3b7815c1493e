/** A canvas with a chart on it. chart.js is loaded only now, and the chart is stopped with its part. */
import { useEffect, useRef, useState } from 'preact/hooks';
import type { DrawnChart } from '../chart-drawing.ts';
import type { Backdrop } from '../models/bands.ts';
import type { Drawing } from '../models/drawing.ts';

/** `drawing` and `backdrop` are drawn anew whenever they are others; `drawn` is null until loaded. */
export function useDrawnChart(drawing: Drawing, backdrop: Backdrop) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const drawn = useRef<DrawnChart | null>(null);
  const newest = useRef({ drawing, backdrop });
  newest.current = { drawing, backdrop };
  const [hasFailed, setFailed] = useState(false);

  useEffect(() => {
    let isGone = false;
    const draw = async () => {
      try {
        const { drawChart } = await import('../chart-drawing.ts');
        if (isGone || canvas.current === null) return;
        drawn.current = drawChart(canvas.current, newest.current.drawing, newest.current.backdrop);
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
  return { canvas, drawn, hasFailed };
}
