/**
 * Signs, stated once. Everything in `rules/`, the store and the API keeps to these.
 *
 * - Current and power of a source: positive out of the source, towards the panel.
 * - Current and power of a selector, main switch, bus or circuit: positive towards the loads.
 * - Current and power of a battery: positive into the battery (charging), negative out of it.
 *   This is also the open marine data convention for batteries.
 * - Current and power of a battery charger's circuit: positive, it is a load of its bus.
 * - AC current is an RMS magnitude and has no sign of its own; only power can be negative.
 *
 * A point's `sign: -1` turns a clamp that was put on the wrong way round.
 */
export const SIGNS = 'source out +, panel towards loads +, battery charging +' as const;
