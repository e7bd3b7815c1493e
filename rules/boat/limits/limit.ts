/** One limit: its default, its range, its unit, and a sentence for whoever changes it. */
export interface LimitDescription {
  default: number;
  min: number;
  max: number;
  unit: string;
  means: string;
}

export const limit = (
  value: number,
  min: number,
  max: number,
  unit: string,
  means: string,
): LimitDescription => ({ default: value, min, max, unit, means });
