/** Ratings that do not fit each other. Warnings: the file may be right and the boat wrong. */
import { ampacityAmps } from '../electrical/conductors.ts';
import { buildConductor } from './build-conductor.ts';
import { entriesOf } from './draft.ts';
import type { Checked, DraftCircuit } from './draft.ts';
import { LIMITS } from './limits.ts';
import type { SupplyView } from './supply-view.ts';

export function checkRatings(checked: Checked, supply: SupplyView): void {
  for (const [id, circuit] of entriesOf(checked.draft.circuits)) {
    checkBreaker(id, circuit, checked, supply);
    checkRunningCurrent(id, circuit, checked);
  }
  checkMainBreakers(checked);
  checkCords(checked);
  checkRequiredIsMeasured(checked);
}

function checkBreaker(
  id: string,
  circuit: DraftCircuit,
  { draft, say }: Checked,
  supply: SupplyView,
): void {
  const amps = circuit.breaker?.amps;
  const busAmps = circuit.bus === undefined ? undefined : draft.buses?.[circuit.bus]?.amps;
  if (amps === undefined) return;
  const path = ['circuits', id, 'breaker', 'amps'];
  if (busAmps !== undefined && amps > busAmps) {
    say.warning(
      path,
      `the breaker (${amps} A) is above the rating of "${circuit.bus}" (${busAmps} A)`,
    );
  }
  const system = circuit.bus === undefined ? null : supply.systemOf(circuit.bus);
  const volts = system === 'dc' ? draft.system?.dc?.volts : draft.system?.ac?.volts;
  const ampacity = ampacityOf(circuit.conductor, system === null ? undefined : volts);
  if (ampacity === null || volts === undefined) return;
  // Below 50 V a breaker may be rated half as much again as its conductor (33 CFR 183.455).
  const most = volts < LOW_VOLTS ? ampacity * LOW_VOLTS_RATIO : ampacity;
  if (amps <= most) return;
  const allowance = most > ampacity ? ', and half as much again is allowed below 50 V' : '';
  say.warning(
    path,
    `the breaker (${amps} A) is above what its conductor may carry (${rounded(ampacity)} A by 33 CFR 183.425 Table 5${allowance})`,
  );
}

const LOW_VOLTS = 50;
const LOW_VOLTS_RATIO = 1.5;

function ampacityOf(
  conductor: DraftCircuit['conductor'],
  volts: number | undefined,
): number | null {
  const built = conductor === undefined ? null : buildConductor(conductor);
  return built === null || volts === undefined ? null : ampacityAmps(built, volts);
}

/** Amperes to a tenth, which is finer than any table of ampacity. */
function rounded(amps: number): number {
  return Number(amps.toFixed(1));
}

function checkRunningCurrent(id: string, circuit: DraftCircuit, { draft, say }: Checked): void {
  const { ampsRunning, breaker } = circuit;
  const drawing = circuit.drawingAmps ?? draft.limits?.drawingAmps ?? LIMITS.drawingAmps.default;
  if (breaker?.amps !== undefined && ampsRunning !== undefined && ampsRunning > breaker.amps) {
    say.warning(
      ['circuits', id, 'ampsRunning'],
      `the running current (${ampsRunning} A) is above the breaker (${breaker.amps} A)`,
    );
  }
  if (ampsRunning !== undefined && ampsRunning <= drawing) {
    say.warning(
      ['circuits', id, 'ampsRunning'],
      `the running current (${ampsRunning} A) is not above \`drawingAmps\` (${drawing} A), so the circuit would never count as running`,
    );
  }
}

function checkMainBreakers({ draft, say }: Checked): void {
  for (const [id, main] of entriesOf(draft.switches)) {
    const amps = main.breaker?.amps;
    if (amps === undefined) continue;
    for (const [busId, bus] of entriesOf(draft.buses)) {
      if (bus.from !== id || bus.amps === undefined || amps <= bus.amps) continue;
      say.warning(
        ['switches', id, 'breaker', 'amps'],
        `the breaker (${amps} A) is above the rating of "${busId}" (${bus.amps} A)`,
      );
    }
  }
}

function checkCords({ draft, say }: Checked): void {
  for (const [id, source] of entriesOf(draft.sources)) {
    if (source.kind !== 'shore inlet' || source.amps === undefined) continue;
    const ampacity = ampacityOf(source.cord, draft.system?.ac?.volts);
    if (ampacity === null || source.amps <= ampacity) continue;
    say.warning(
      ['sources', id, 'amps'],
      `the rating (${source.amps} A) is above what the cord may carry (${rounded(ampacity)} A by 33 CFR 183.425 Table 5)`,
    );
  }
}

/** A circuit without a clamp is nothing unusual, but then nobody can tell whether it runs. */
function checkRequiredIsMeasured({ draft, say }: Checked): void {
  const measured = new Set(
    entriesOf(draft.points)
      .filter(([, { quantity }]) => quantity === 'amps' || quantity === 'watts')
      .map(([, point]) => point.of),
  );
  for (const [id, { requires }] of entriesOf(draft.circuits)) {
    for (const [index, name] of (requires ?? []).entries()) {
      if (name === undefined || measured.has(name) || draft.circuits?.[name] === undefined)
        continue;
      say.warning(
        ['circuits', id, 'requires', index],
        `no point measures amps or watts of "${name}", so nobody can tell whether it runs`,
      );
    }
  }
}
