/**
 * How much current a copper conductor may carry: 33 CFR 183.425 Table 5 with its two notes.
 * The regulation is written for boats with petrol engines; other boats use it as good practice.
 * Local codes and the maker's own figures come first.
 *
 * Sources: Table 5 and the engine-space factor of the 105 degree column were read in published
 * copies; the other engine-space factors and the factor for 25 and more bundled conductors are from
 * memory (the factors up to 125 degrees agree with the square root of the temperature rises).
 */
import type { Conductor } from '../boat/boat.ts';
import { awgSquareMillimetres } from './wire-geometry.ts';

/** Insulation ratings of Table 5, degrees Celsius. */
export const INSULATION_CELSIUS = [60, 75, 80, 90, 105, 125, 200] as const;

/** Note 1 of Table 5, one factor a column: conductor runs through an engine space (50 degrees). */
const ENGINE_SPACE_FACTORS = [0.58, 0.75, 0.78, 0.82, 0.85, 0.89, 1] as const;

/** Table 5, allowable amperes; sizes from thin to thick, one column for each insulation rating. */
const TABLE_5 = {
  '18': [10, 10, 15, 20, 20, 25, 25],
  '16': [15, 15, 20, 25, 25, 30, 35],
  '14': [20, 20, 25, 30, 35, 40, 45],
  '12': [25, 25, 35, 40, 45, 50, 55],
  '10': [40, 40, 50, 55, 60, 70, 70],
  '8': [55, 65, 70, 70, 80, 90, 100],
  '6': [80, 95, 100, 100, 120, 125, 135],
  '4': [105, 125, 130, 135, 160, 170, 180],
  '3': [120, 145, 150, 155, 180, 195, 210],
  '2': [140, 170, 175, 180, 210, 225, 240],
  '1': [165, 195, 210, 210, 245, 265, 280],
  '1/0': [195, 230, 245, 245, 285, 305, 325],
  '2/0': [225, 265, 285, 285, 330, 355, 370],
  '3/0': [260, 310, 330, 330, 385, 410, 430],
  '4/0': [300, 360, 385, 385, 445, 475, 510],
} as const satisfies Record<string, readonly number[]>;

/** A size of Table 5 as the trade writes it. */
export type TabulatedAwg = keyof typeof TABLE_5;

/** Every size of Table 5, from thin to thick. Spelled out: an object would put its numbers first. */
export const TABULATED_AWG: readonly TabulatedAwg[] = [
  '18',
  '16',
  '14',
  '12',
  '10',
  '8',
  '6',
  '4',
  '3',
  '2',
  '1',
  '1/0',
  '2/0',
  '3/0',
  '4/0',
];

/** 250 kcmil, the next trade size above 4/0: Table 5 says nothing from here on. */
const BEYOND_TABLE_SQUARE_MILLIMETRES = 126.7;

/** Voltage from which bundling counts (33 CFR 183.435(b), from memory). */
const BUNDLING_FROM_VOLTS = 50;

/**
 * Allowable amperes of a conductor as it is laid.
 *
 * Insulation between two columns (70 degrees, say) takes the lower column, for a conductor that
 * stands more heat carries at least as much. A metric size takes the largest AWG that is not
 * thicker: Table 5 has no metric column, and this errs to the safe side.
 *
 * Null: no size given, a size or insulation outside the table, `bundled` below 1, `systemVolts` not
 * above zero, or any of them not a finite number.
 *
 * Source: 33 CFR 183.425 Table 5 with notes 1 and 2.
 */
export function ampacityAmps(conductor: Conductor, systemVolts: number): number | null {
  const size = tabulatedAwgOf(conductor);
  const column = insulationColumn(conductor.insulationCelsius);
  const bundling = bundlingFactor(conductor.bundled, systemVolts);
  if (size === null || column === null || bundling === null) return null;
  const tabulated = TABLE_5[size][column];
  const engineSpace = conductor.isInEngineSpace ? ENGINE_SPACE_FACTORS[column] : 1;
  if (tabulated === undefined || engineSpace === undefined) return null;
  return tabulated * engineSpace * bundling;
}

/**
 * The size of Table 5 that stands for this conductor: its own AWG, or for a metric size the largest
 * AWG that is not thicker. Null where there is none.
 */
export function tabulatedAwgOf(conductor: Conductor): TabulatedAwg | null {
  if (conductor.awg !== undefined) {
    return TABULATED_AWG.find((size) => size === conductor.awg) ?? null;
  }
  const area = conductor.squareMillimetres;
  if (area === undefined || !(area < BEYOND_TABLE_SQUARE_MILLIMETRES)) return null;
  return TABULATED_AWG.findLast((size) => (awgSquareMillimetres(size) ?? Infinity) <= area) ?? null;
}

/**
 * Note 2 of Table 5: the share of its table value that each of `bundled` current-carrying
 * conductors may carry, 0.4..1. Below 50 V bundling does not count. Null on bad input.
 */
export function bundlingFactor(bundled: number, systemVolts: number): number | null {
  if (!Number.isFinite(bundled) || bundled < 1) return null;
  if (!Number.isFinite(systemVolts) || systemVolts <= 0) return null;
  if (systemVolts < BUNDLING_FROM_VOLTS || bundled < 3) return 1;
  if (bundled < 4) return 0.7;
  if (bundled < 7) return 0.6;
  return bundled < 25 ? 0.5 : 0.4;
}

/** Index of the highest rating that is not above `celsius`; null below 60 degrees. */
function insulationColumn(celsius: number): number | null {
  if (!Number.isFinite(celsius)) return null;
  const column = INSULATION_CELSIUS.findLastIndex((rating) => rating <= celsius);
  return column < 0 ? null : column;
}
