/**
 * What a person can do on a chart: draw a frame around a time with the pointer, or move and zoom
 * with the keys. Everything can be had from the buttons above the charts as well.
 */
import type { ComponentChildren, TargetedKeyboardEvent, TargetedPointerEvent } from 'preact';
import { useRef, useState } from 'preact/hooks';
import { between, instantAt, panned, zoomed, type Stretch } from '../models/stretch.ts';
import { texts } from '../texts.ts';

/** Less is a click, not a frame. */
const LEAST_PIXELS = 8;
const PAN_SHARE = 0.25;
const ZOOM = 2;

const MOVES: Readonly<Record<string, (span: Stretch) => Stretch>> = {
  ArrowLeft: (span) => panned(span, -PAN_SHARE),
  ArrowRight: (span) => panned(span, PAN_SHARE),
  PageUp: (span) => panned(span, -1),
  PageDown: (span) => panned(span, 1),
  '+': (span) => zoomed(span, 1 / ZOOM),
  '=': (span) => zoomed(span, 1 / ZOOM),
  '-': (span) => zoomed(span, ZOOM),
};

export interface ChartFrameProps {
  label: string;
  /** What is drawn. */
  span: Stretch;
  /** What was asked for last, which a step of the keys starts from. */
  wanted: Stretch;
  /** Where the plot begins and ends across the frame, in pixels; null before it is drawn. */
  edges: () => { left: number; right: number } | null;
  /** One of many small steps. */
  move: (span: Stretch) => void;
  /** A choice to which there is a way back. */
  pick: (span: Stretch) => void;
  children: ComponentChildren;
}

interface Brush {
  fromPixels: number;
  toPixels: number;
}

export function ChartFrame({ label, span, wanted, edges, move, pick, children }: ChartFrameProps) {
  const [brush, setBrush] = useState<Brush | null>(null);
  const started = useRef<number | null>(null);

  const placeOf = (event: TargetedPointerEvent<HTMLDivElement>): number => {
    const place = event.clientX - event.currentTarget.getBoundingClientRect().left;
    const { left, right } = edges() ?? { left: place, right: place };
    return Math.min(right, Math.max(left, place));
  };
  const instantOf = (pixels: number): number => {
    const { left, right } = edges() ?? { left: 0, right: 1 };
    return instantAt(span, (pixels - left) / (right - left));
  };
  const stop = () => {
    started.current = null;
    setBrush(null);
  };
  const press = (event: TargetedPointerEvent<HTMLDivElement>) => {
    if (event.button !== 0 || edges() === null) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    started.current = placeOf(event);
  };
  const drag = (event: TargetedPointerEvent<HTMLDivElement>) => {
    if (started.current === null) return;
    const to = placeOf(event);
    const isFrame = Math.abs(to - started.current) >= LEAST_PIXELS;
    setBrush(isFrame ? { fromPixels: started.current, toPixels: to } : null);
  };
  const release = () => {
    const drawn = brush;
    stop();
    if (drawn !== null) pick(between(instantOf(drawn.fromPixels), instantOf(drawn.toPixels)));
  };
  const steer = (event: TargetedKeyboardEvent<HTMLDivElement>) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === 'Escape') stop();
    const step = MOVES[event.key];
    if (step === undefined) return;
    event.preventDefault();
    move(step(wanted));
  };

  return (
    <div
      class="chart-canvas"
      role="group"
      tabIndex={0}
      aria-label={texts.history.chartLabel(label)}
      onKeyDown={steer}
      onPointerDown={press}
      onPointerMove={drag}
      onPointerUp={release}
      onPointerCancel={stop}
    >
      {children}
      {brush !== null && (
        <span
          class="brush"
          style={{
            '--brush-from': `${Math.min(brush.fromPixels, brush.toPixels)}px`,
            '--brush-width': `${Math.abs(brush.toPixels - brush.fromPixels)}px`,
          }}
        />
      )}
    </div>
  );
}
