/** What a load plan says, in whole sentences. */
import type { Boat, PartId } from '../boat/boat.ts';
import { label, percent } from '../catalogue/rule.ts';
import { inWords } from '../panel/reasons.ts';
import type { Weighed } from './weighing.ts';

const figure = (value: number, unit: string): string => `${value.toFixed(1)} ${unit}`;

const onLeg = ({ leg }: Weighed['bottleneck'], boat: Boat): string =>
  leg === null || (boat.ac?.legs.length ?? 1) < 2 || leg === 'DC' ? '' : ` on ${leg}`;

/** What decides where the change does not fit. */
export function failWords(boat: Boat, { bottleneck, carries, limit, limiting }: Weighed): string {
  const { unit, rated, label: name } = bottleneck;
  const load = `${name}: ${figure(carries ?? 0, unit)}${onLeg(bottleneck, boat)}`;
  const most = figure(limit, unit);
  if (limiting === 'start') return `${load} for an instant at its start, at most ${most}`;
  if (limiting === 'hours')
    return `${load} then, more than the ${most} that it may carry for hours`;
  if ((carries ?? 0) > rated) return `${load} then, more than its rating of ${figure(rated, unit)}`;
  return `${load} then, too near its rating of ${figure(rated, unit)}`;
}

/** How much the fullest part carries once the change is made. */
export function fitWords(boat: Boat, { bottleneck, carries, limiting, limit }: Weighed): string {
  const { unit, rated, label: name } = bottleneck;
  const load = `${name}: ${figure(carries ?? 0, unit)}${onLeg(bottleneck, boat)}`;
  const most = figure(limit, unit);
  if (limiting === 'hours') return `${load} then, of ${most} that it may carry for hours`;
  if (limiting === 'start') return `${load} for an instant at its start, of ${most}`;
  return `${load} then, of ${figure(rated, unit)} (${percent((carries ?? 0) / rated)})`;
}

/** More names than this nobody reads. */
const MOST_NAMES = 4;

/** Says for what room was kept, or nothing. */
export function reserveWords(boat: Boat, reservedFor: readonly PartId[]): string {
  if (reservedFor.length === 0) return '';
  const names = reservedFor.slice(0, MOST_NAMES).map((id) => label(boat, id));
  const more = reservedFor.length - names.length;
  if (more > 0) names.push(`${more} more`);
  return `, with room kept for ${inWords(names)}`;
}
