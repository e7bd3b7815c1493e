/**
 * Draws a layout with the state of the panel: position by contact position, energisation by line
 * weight, what is not known dotted and with a question mark. No colour, nothing moves.
 */
import type { PanelState } from '../../daemon/api/contract.ts';
import { texts } from '../texts.ts';
import type { Energised } from './energised.ts';
import { energisedParts } from './energised.ts';
import { LINE_HEIGHT } from './lettering.ts';
import { LETTERS, LEVEL, SOURCES, UPRIGHT } from './symbols.ts';
import type { ContactState } from './symbols.ts';
import type { Layout, PlacedLabel, PlacedSymbol } from './shapes.ts';

export interface DrawingProps {
  layout: Layout;
  panel: PanelState;
  /** Id of the list of sentences that says the same. */
  describedBy: string;
}

function Label({ label }: { label: PlacedLabel }) {
  const { lines, full, box, size } = label;
  return (
    <text x={box.x} y={box.y} font-size={size}>
      {lines.join(' ') !== full && <title>{full}</title>}
      {lines.map((line, index) => (
        <tspan key={index} x={box.x} y={box.y + (index + 1) * LINE_HEIGHT - 3}>
          {line}
        </tspan>
      ))}
    </text>
  );
}

/** The sign that something is not known. */
const Question = ({ x, y }: { x: number; y: number }) => (
  <text class="sld-question" x={x} y={y} text-anchor="middle" font-size="13">
    ?
  </text>
);

function Contact({ x, y, state }: { x: number; y: number; state: ContactState }) {
  const { frame, blade } = UPRIGHT[state];
  return (
    <g transform={`translate(${x} ${y})`} data-position={state}>
      <path d={frame} />
      <path class="sld-blade" d={blade} />
      {state === 'unknown' && <Question x={12} y={5} />}
    </g>
  );
}

function SelectorArm({ symbol, panel }: { symbol: PlacedSymbol; panel: PanelState }) {
  const state = panel.selectors.find(({ id }) => id === symbol.id);
  const [x, y] = symbol.outlet;
  const hub = y - 8;
  return (
    <g>
      <path d={`M${x} ${y}V${hub}`} />
      {symbol.contacts.map(({ name, at }) => {
        const stands = state?.position === name;
        const may = !stands && state?.position === null && state.possible.includes(name);
        return (
          <g key={name} data-position={may ? 'unknown' : 'closed'}>
            {(stands || may) && <path class="sld-blade" d={`M${x} ${hub}L${at[0]} ${at[1] + 4}`} />}
            <circle class="sld-contact" cx={at[0]} cy={at[1] + 1} r="3" />
          </g>
        );
      })}
      <circle class="sld-contact" cx={x} cy={hub} r="3" />
      {state?.position === null && <Question x={x - 10} y={y - 1} />}
    </g>
  );
}

function Breaker({ symbol, panel }: { symbol: PlacedSymbol; panel: PanelState }) {
  const { box, id } = symbol;
  const circuit = panel.circuits.find((own) => own.id === id);
  const state = circuit?.activity === 'drawing' ? 'closed' : 'unknown';
  const { frame, blade } = LEVEL[state];
  return (
    <g
      transform={`translate(${box.x + box.width / 2} ${box.y + box.height / 2})`}
      data-position={state}
    >
      <path d={frame} />
      <path class="sld-blade" d={blade} />
    </g>
  );
}

/** A source, a battery or a sign of the legend. */
export function SourceSign({ kind, x, y }: { kind: PlacedSymbol['kind']; x: number; y: number }) {
  if (kind === 'breaker') return null;
  const letter = LETTERS[kind];
  return (
    <g transform={`translate(${x} ${y})`}>
      <path d={SOURCES[kind] ?? ''} />
      {letter !== undefined && (
        <text text-anchor="middle" y="4" font-size="15">
          {letter}
        </text>
      )}
    </g>
  );
}

function Symbol({ symbol, panel }: { symbol: PlacedSymbol; panel: PanelState }) {
  const { kind, box, id } = symbol;
  // Its outlet is below its middle, also where several wires come in side by side.
  const [x] = symbol.outlet;
  const y = box.y + box.height / 2;
  switch (kind) {
    case 'bus':
      return <rect class="sld-bar" x={box.x} y={box.y} width={box.width} height={box.height} />;
    case 'selector':
      return <SelectorArm symbol={symbol} panel={panel} />;
    case 'main switch': {
      const position = panel.mainSwitches.find((own) => own.id === id)?.position ?? 'unknown';
      return <Contact x={x} y={y} state={position} />;
    }
    case 'breaker':
      return <Breaker symbol={symbol} panel={panel} />;
    case 'shore inlet':
    case 'generator':
    case 'inverter':
    case 'alternator':
    case 'solar':
    case 'battery':
      return <SourceSign kind={kind} x={x} y={y} />;
  }
}

const OWN_QUESTION: ReadonlySet<PlacedSymbol['kind']> = new Set([
  'selector',
  'main switch',
  'breaker',
]);

/** Of a circuit: its bus, for that is what feeds its breaker. */
function energisedAt(panel: PanelState, id: string, found: ReadonlyMap<string, Energised>) {
  const circuit = panel.circuits.find((own) => own.id === id);
  return circuit ? circuit.live : (found.get(id) ?? 'unknown');
}

export function Drawing({ layout, panel, describedBy }: DrawingProps) {
  const energised = energisedParts(panel);
  const { width, height, symbols, labels, wires, joints } = layout;
  return (
    <svg
      class="single-line"
      viewBox={`0 0 ${width} ${height}`}
      style={{ '--units': width }}
      role="img"
      aria-label={texts.singleLine.title(panel.boat)}
      aria-describedby={describedBy}
    >
      {wires.map(({ from, points }) => (
        <path
          key={`${from} ${points.join(' ')}`}
          class="sld-wire"
          data-live={energised.get(from) ?? 'unknown'}
          d={`M${points.map(([x, y]) => `${x} ${y}`).join('L')}`}
        />
      ))}
      {joints.map(({ of, at }) => (
        <circle
          key={`${of} ${at.join(' ')}`}
          class="sld-joint"
          data-live={energised.get(of) ?? 'unknown'}
          cx={at[0]}
          cy={at[1]}
          r="3.5"
        />
      ))}
      {symbols.map((symbol) => {
        const live = energisedAt(panel, symbol.id, energised);
        const { box } = symbol;
        // Switches have a question mark of their own, and a breaker's is its dotted blade.
        const asks = live === 'unknown' && !OWN_QUESTION.has(symbol.kind);
        return (
          <g key={symbol.id} class="sld-symbol" data-live={live}>
            <Symbol symbol={symbol} panel={panel} />
            {asks && <Question x={box.x - 6} y={box.y + box.height + 2} />}
          </g>
        );
      })}
      {labels.map((label, index) => (
        <Label key={index} label={label} />
      ))}
    </svg>
  );
}
