/** Sources and batteries of `boat.ts` from the boat file. */
import type { Battery, LegName, Source } from './boat.ts';
import { DC_LEG } from './boat.ts';
import { buildConductor } from './build-conductor.ts';
import type { BoatFile, SourceEntry } from './file-schema.ts';
import { given } from './records.ts';

type BatteryEntry = NonNullable<BoatFile['batteries']>[string];

/** `acVolts` are those of one leg; `acLegs` the legs of the system. */
export function buildSource(
  id: string,
  file: SourceEntry,
  acVolts: number,
  acLegs: readonly LegName[],
): Source {
  const base = { part: 'source', id, label: file.label ?? id } as const;
  const legs = 'legs' in file && file.legs !== undefined ? file.legs : [...acLegs];
  const allVolts = acVolts * legs.length;
  switch (file.kind) {
    case 'shore inlet': {
      const cord = file.cord === undefined ? undefined : (buildConductor(file.cord) ?? undefined);
      const rest = { ...base, kind: file.kind, system: 'ac', legs, ampsRated: file.amps } as const;
      return given({ ...rest, cord });
    }
    case 'generator': {
      const wattsRated = watts(file.kilowatts);
      const voltAmpsRated = watts(file.kilovoltAmps ?? file.kilowatts);
      const ampsRated = file.amps ?? voltAmpsRated / allVolts;
      const rest = { kind: file.kind, system: 'ac', fuel: file.fuel } as const;
      const { startBattery } = file;
      return given({ ...base, ...rest, legs, wattsRated, voltAmpsRated, ampsRated, startBattery });
    }
    case 'inverter': {
      const wattsRated = watts(file.kilowatts);
      const ampsRated = file.amps ?? wattsRated / allVolts;
      const rest = { kind: file.kind, system: 'ac', battery: file.battery } as const;
      return { ...base, ...rest, legs, wattsRated, ampsRated };
    }
    case 'alternator':
      return { ...base, ...dc, kind: file.kind, ampsRated: file.amps, battery: file.battery };
    case 'solar': {
      const rest = { kind: file.kind, wattsRated: file.watts, ampsRated: file.amps } as const;
      return { ...base, ...dc, ...rest, battery: file.battery };
    }
  }
}

const dc = { system: 'dc' as const, legs: [DC_LEG] };

/** Without the last digits that binary fractions leave behind: 2.3 kW is 2300 W. */
function watts(kilowatts: number): number {
  return Number((kilowatts * 1000).toPrecision(12));
}

export function buildBattery(id: string, file: BatteryEntry): Battery {
  const { chemistry, volts, ampHours } = file;
  return { part: 'battery', id, label: file.label ?? id, ...dc, chemistry, volts, ampHours };
}
