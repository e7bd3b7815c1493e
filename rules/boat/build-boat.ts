/** The boat of `boat.ts` from a file that has passed every check: defaults filled in. */
import type { AcSystem, Boat, Intake, Part, PartId, Point } from './boat.ts';
import { buildPoint } from './build-points.ts';
import {
  buildBus,
  buildCircuit,
  buildMainSwitch,
  buildSelector,
  usualBreakerKind,
} from './build-panel.ts';
import { buildBattery, buildSource } from './build-sources.ts';
import { acLegsOf } from './draft.ts';
import type { Checked } from './draft.ts';
import type { BoatFile } from './file-schema.ts';
import { given } from './records.ts';
import { limitsWith } from './limits.ts';
import type { SupplyView } from './supply-view.ts';

export function buildBoat(file: BoatFile, supply: SupplyView, keysOf: Checked['keysOf']): Boat {
  const ac = acSystem(file);
  const limits = limitsWith(given(file.limits ?? {}));
  const kind = usualBreakerKind(ac);
  const each = <Entry, Made>(
    section: Readonly<Record<string, Entry>> | undefined,
    make: (id: string, entry: Entry) => Made,
  ): Made[] => Object.entries(section ?? {}).map(([id, entry]) => make(id, entry));

  const sources = each(file.sources, (id, entry) =>
    buildSource(id, entry, ac?.volts ?? 0, ac?.legs ?? []),
  );
  const selectors = each(file.selectors, (id, entry) =>
    buildSelector(id, entry, keysOf(['selectors', id, 'positions']), supply),
  );
  const mainSwitches = each(file.switches, (id, entry) => buildMainSwitch(id, entry, kind, supply));
  const buses = each(file.buses, (id, entry) => buildBus(id, entry, supply));
  const batteries = each(file.batteries, buildBattery);
  const circuits = each(file.circuits, (id, entry) =>
    buildCircuit(id, entry, kind, limits.drawingAmps, supply),
  );
  const parts = inOrderOfFile(
    [...sources, ...selectors, ...mainSwitches, ...buses, ...batteries, ...circuits],
    keysOf,
  );
  const boat = { name: file.boat.name, ac, dc: file.system.dc ?? null, parts };
  const points = each(file.points, (id, entry) => buildPoint(id, entry, boat));
  return {
    ...boat,
    sources,
    batteries,
    selectors,
    mainSwitches,
    buses,
    circuits,
    points: new Map<string, Point>(points.map((point) => [point.id, point])),
    limits,
    intake: buildIntake(file),
  };
}

function acSystem(file: BoatFile): AcSystem | null {
  const ac = file.system.ac;
  return ac === undefined ? null : { ...ac, legs: acLegsOf(file) ?? [] };
}

/** Sections may stand in any order in the file. */
function inOrderOfFile(parts: readonly Part[], keysOf: Checked['keysOf']): Map<PartId, Part> {
  const byId = new Map(parts.map((part) => [part.id, part]));
  const sections = keysOf([]).filter((section) => section !== 'points');
  const ids = sections.flatMap((section) => keysOf([section]));
  return new Map(
    ids.flatMap((id) => {
      const part = byId.get(id);
      return part === undefined ? [] : [[id, part] as const];
    }),
  );
}

const EMBEDDED_PORT = 1883;

function buildIntake({ intake }: BoatFile): Intake {
  const { broker = 'embedded', port = EMBEDDED_PORT, username } = intake?.mqtt ?? {};
  const mqtt = broker === 'embedded' ? ({ broker, port } as const) : given({ broker, username });
  return given({ mqtt, marineData: intake?.marineData });
}
