/** What to write instead, when a number of the boat file is no number or is in another unit. */

/** How people write units, by the ending of the key, each with its factor to the unit of the key. */
const UNIT_WORDS: readonly (readonly [ending: RegExp, factors: Record<string, number>])[] = [
  [/^kilowatts$/, { kw: 1, kilowatts: 1, w: 0.001, watts: 0.001 }],
  [/^kilovoltAmps$/, { kva: 1, va: 0.001 }],
  [/watts$/i, { w: 1, watts: 1, wp: 1, kw: 1000 }],
  [/volts$/i, { v: 1, volts: 1, vac: 1, vdc: 1, mv: 0.001, kv: 1000 }],
  [/hours$/i, { ah: 1, kah: 1000, h: 1, hours: 1, min: 1 / 60 }],
  [/^hertz$/, { hz: 1, hertz: 1 }],
  [
    /metres$/i,
    { m: 1, metres: 1, meters: 1, cm: 0.01, ft: 0.3048, feet: 0.3048, mm2: 1, 'mm²': 1 },
  ],
  [/feet$/i, { ft: 1, feet: 1, "'": 1, m: 1 / 0.3048, metres: 1 / 0.3048 }],
  [/celsius$/i, { c: 1, '°c': 1 }],
  [/seconds$/i, { s: 1, sec: 1, seconds: 1, ms: 0.001, min: 60, minutes: 60 }],
  [/minutes$/i, { min: 1, minutes: 1, s: 1 / 60, h: 60 }],
  [/ratio$/i, { '%': 0.01 }],
  [/amps/i, { a: 1, amp: 1, amps: 1, amperes: 1, ma: 0.001, ka: 1000 }],
];

const PLAIN = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;
/** Digits with all that people put between them, and what stands behind. */
const DIGITS_AND_UNIT = /^([+-]?[\d.,][\d.,_ '’]*(?:[eE][+-]?\d+)?)\s*([^\d\s].*)?$/;

/** `; write 11.8` for text that was meant as the number of `key`, or nothing to say. */
export function numberHint(key: string, found: string): string {
  const [, digits = '', unit] = DIGITS_AND_UNIT.exec(found.trim()) ?? [];
  const values = valuesOf(digits.trim());
  const factor = unit === undefined ? 1 : factorOf(key, unit);
  if (values.length === 0) return '';
  if (factor === null) return '; write the number alone, without a unit';
  const [value = 0, other] = values.map((own) => round(own * factor));
  if (other !== undefined) {
    return `; write ${value}, or ${other} if the comma was meant as a decimal point`;
  }
  return `; write ${value}${unit === undefined && PLAIN.test(digits) ? ' without quotes' : ''}`;
}

/** What the digits can mean: two numbers where a comma has three digits behind it. */
function valuesOf(digits: string): number[] {
  if (PLAIN.test(digits)) return [Number(digits)];
  const whole = Number(digits.replaceAll(/[ ,_'’]/g, ''));
  const decimal = Number(digits.replace(',', '.'));
  if (/^[+-]?\d{1,3},\d{3}$/.test(digits)) return [whole, decimal];
  if (/^[+-]?\d{1,3}(?:[ ,_'’]\d{3})+(?:\.\d+)?$/.test(digits)) return [whole];
  return /^[+-]?\d*,\d+$/.test(digits) ? [decimal] : [];
}

/** Null for a unit that the key knows nothing of. */
function factorOf(key: string, unit: string): number | null {
  const factors = UNIT_WORDS.find(([ending]) => ending.test(key))?.[1] ?? {};
  const name = unit.toLowerCase();
  return Object.hasOwn(factors, name) ? (factors[name] ?? null) : null;
}

/** `; write 12 ...` for a number that only fits its range when it was meant in a smaller unit. */
export function scaleHint(
  key: string,
  found: number,
  isInRange: (value: number) => boolean,
): string {
  const [factor, unit] = key.startsWith('kilo')
    ? [0.001, key === 'kilowatts' ? 'watts' : 'volt-amperes']
    : /ratio$/i.test(key)
      ? [0.01, '%']
      : [1, ''];
  const meant = round(found * factor);
  if (factor === 1 || !isInRange(meant)) return '';
  return `; write ${meant} for ${found} ${unit}`;
}

/** Without the last digits that binary fractions leave behind. */
function round(value: number): number {
  return Number(value.toPrecision(12));
}
