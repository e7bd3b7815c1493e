/**
 * The name of every rule that a check can have, once: what `explains` may name, and what the table
 * in `README.md` lists. A test holds it to the checks that the catalogue returns.
 */
export const RULE_NAMES = [
  // Shore.
  'unused-inlet-live',
  'loose-neutral',
  'shore-power-lost',
  'weak-supply',
  'dead-bus',
  'connection-going-bad',
  'connection-differs',
  'connection-flickers',
  'low-voltage',
  'high-voltage',
  'shore-frequency',
  'shore-kind',
  'shore-blinks',
  // Sources.
  'sources-fighting',
  'changed-under-load',
  'idle-generator',
  'generator-forgotten',
  'generator-underloaded',
  'generator-out-of-class',
  'generator-dip',
  'generator-stopped-hot',
  'generator-loaded-cold',
  'generator-not-starting',
  'inverter-heavy-load',
  // Circuits.
  'overload',
  'missing-prerequisite',
  'weak-prerequisite',
  'shared-trips',
  'short-cycling',
  'excluded-pair',
  'standing-order',
  'better-choice',
  'never-stops',
  'duty-drift',
  'long-run',
  'left-on',
  // Batteries.
  'battery-low',
  'charger-off',
  'overcharge',
  'battery-temperature',
  'not-full',
  'bank-worn',
  'quiet-drain',
  // Pumps.
  'bilge-pump-often',
  'bilge-pump-long-run',
  'bilge-pump-resting',
  'fresh-water-leak',
  'fresh-water-long-run',
  'fresh-water-dry',
  'fresh-water-weeps',
  'pump-jammed',
  // Sensors.
  'sensor-silent',
  'sensor-frozen',
  'sensor-leaping',
  'contradiction',
  // panelward itself.
  'disk-filling',
  'record-not-written',
  'clock-not-set',
  'panelward-slow',
  'letters-waiting',
  'computer-power',
  'certificate-ends',
  'failed-sign-ins',
  'link-down',
] as const;

export type RuleName = (typeof RULE_NAMES)[number];

/** The key of a rule's check about one subject; without a subject, the beginning of all its keys. */
export const keyOf = (rule: RuleName, subject?: string): string =>
  subject === undefined ? rule : `${rule}.${subject}`;
