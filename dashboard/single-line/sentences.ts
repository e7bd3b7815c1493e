/** The diagram as a list of sentences, for ears and for whoever cannot make out lines. Pure. */
import type { PanelState } from '../../daemon/api/contract.ts';
import { labelOf, labelsOf, standsText } from '../models/feeding.ts';
import { texts } from '../texts.ts';
import { energisedParts } from './energised.ts';
import { batteryLabel, mainSwitchLabel } from './rated-labels.ts';

/** Sources first, as they are drawn. */
export function diagramSentences(panel: PanelState): string[] {
  const labels = labelsOf(panel);
  const energised = energisedParts(panel);
  const live = (id: string): string => texts.singleLine.energised[energised.get(id) ?? 'unknown'];
  return [
    ...panel.sources.map(({ id, label, kind }) =>
      texts.singleLine.source(label, texts.panel.kind[kind], live(id)),
    ),
    ...panel.batteries.map((own) =>
      texts.singleLine.source(batteryLabel(own), texts.singleLine.battery, live(own.id)),
    ),
    ...panel.selectors.map((own) =>
      texts.singleLine.selector(own.label, standsText(own), live(own.id)),
    ),
    ...panel.mainSwitches.map((own) =>
      texts.singleLine.mainSwitch(
        mainSwitchLabel(own),
        texts.panel.switchPosition[own.position],
        labelOf(labels, own.from),
        live(own.id),
      ),
    ),
    ...panel.buses.map(({ id, label, from }) =>
      texts.singleLine.bus(label, labelOf(labels, from), live(id), circuitsText(panel, id)),
    ),
  ];
}

/** `8 circuits, 3 drawing`. */
export function circuitsText(panel: PanelState, bus: string): string {
  const own = panel.circuits.filter((circuit) => circuit.bus === bus);
  return texts.singleLine.circuits(
    own.length,
    own.filter(({ activity }) => activity === 'drawing').length,
  );
}
