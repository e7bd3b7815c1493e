/** The diagram on the page: laid out to the width there is, with its legend and its sentences. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { PanelState } from '../../daemon/api/contract.ts';
import { texts } from '../texts.ts';
import { Drawing } from './drawing.tsx';
import { layOut } from './layout.ts';
import { Legend } from './legend.tsx';
import { circuitsText, diagramSentences } from './sentences.ts';
import { wiringOf } from './wiring.ts';

const SENTENCES = 'single-line-sentences';
/** Narrower than this the circuits of a bus are drawn only when somebody asks. */
const FOLD_BELOW = 640;
/** The type size that the layout counts in, against that of the page. */
const PAGE_TYPE = 16;

/** Width of an element in units of the layout: twice the type size leaves half as many. */
function useRoom() {
  const frame = useRef<HTMLDivElement>(null);
  const [room, setRoom] = useState(0);
  useEffect(() => {
    const own = frame.current;
    if (own === null) return () => {};
    const watcher = new ResizeObserver(([entry]) => {
      const type = Number.parseFloat(getComputedStyle(document.documentElement).fontSize);
      const width = entry?.contentRect.width ?? 0;
      setRoom(Math.floor((width * PAGE_TYPE) / (type || PAGE_TYPE)));
    });
    watcher.observe(own);
    return () => watcher.disconnect();
  }, []);
  return { frame, room };
}

interface FoldsProps {
  panel: PanelState;
  open: ReadonlySet<string>;
  toggle: (bus: string) => void;
}

function Folds({ panel, open, toggle }: FoldsProps) {
  return (
    <p class="sld-folds">
      {panel.buses.map(({ id, label }) => (
        <button
          key={id}
          type="button"
          class="quiet"
          aria-pressed={open.has(id)}
          onClick={() => toggle(id)}
        >
          {open.has(id) ? texts.singleLine.fold(label) : texts.singleLine.unfold(label)}
        </button>
      ))}
    </p>
  );
}

export function SingleLine({ panel }: { panel: PanelState }) {
  const { frame, room } = useRoom();
  const [open, setOpen] = useState<ReadonlySet<string>>(new Set());
  const folds = room < FOLD_BELOW;
  const folded = (bus: string): string | null =>
    folds && !open.has(bus) ? circuitsText(panel, bus) : null;
  // The boat's wiring stays as it is; only what stands in folded buses changes now and then.
  const wiring = wiringOf(panel);
  const shape = JSON.stringify([wiring, room, panel.buses.map(({ id }) => folded(id))]);
  const layout = useMemo(() => layOut(wiring, { width: room, folded }), [shape]);
  // Large type on a small screen: the drawing keeps its size and scrolls, rather than shrink its words.
  const isWider = room > 0 && layout.width > room;
  const toggle = (bus: string): void => {
    const next = new Set(open);
    if (!next.delete(bus)) next.add(bus);
    setOpen(next);
  };
  return (
    <section class="diagram" aria-labelledby="diagram-heading">
      <h2 id="diagram-heading">{texts.singleLine.heading}</h2>
      <div
        class="sld-frame"
        ref={frame}
        {...(isWider && { tabIndex: 0, role: 'region', 'aria-label': texts.singleLine.frame })}
      >
        {room > 0 && <Drawing layout={layout} panel={panel} describedBy={SENTENCES} />}
      </div>
      {folds && <Folds panel={panel} open={open} toggle={toggle} />}
      <details class="sld-words">
        <summary>{texts.singleLine.inWords}</summary>
        <ul id={SENTENCES}>
          {diagramSentences(panel).map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      </details>
      <Legend />
    </section>
  );
}
