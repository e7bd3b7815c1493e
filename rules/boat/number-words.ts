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

const NUMBER = String.raw`[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?`;
const PLAIN = new RegExp(`^${NUMBER}$`);
const WITH_UNIT = new RegExp(String.raw`^(${NUMBER})\s*(\S.*)$`);

/** `; write 11.8` for text that was meant as the number of `key`, or nothing to say. */
export function numberHint(key: string, found: string): string {
  const text = found.trim();
  if (PLAIN.test(text)) return `; write ${Number(text)} without quotes`;
  if (/^[+-]?\d{1,3}([ ,_'’]\d{3})+$/.test(text)) return thousandsHint(text);
  if (/^[+-]?\d*,\d+$/.test(text)) return `; write ${Number(text.replace(',', '.'))}`;
  return unitHint(key, text.replace(/^([+-]?\d*),(\d+)(?=\D)/, '$1.$2'));
}

/** A comma with three digits behind it may be a decimal comma or one between thousands. */
function thousandsHint(text: string): string {
  const whole = Number(text.replaceAll(/[ ,_'’]/g, ''));
  const isOneComma = /^[+-]?\d+,\d{3}$/.test(text);
  return isOneComma
    ? `; write ${whole}, or ${Number(text.replace(',', '.'))} if the comma was meant as a decimal point`
    : `; write ${whole}`;
}

function unitHint(key: string, text: string): string {
  const [, digits, unit] = WITH_UNIT.exec(text) ?? [];
  if (digits === undefined || unit === undefined) return '';
  const factors = UNIT_WORDS.find(([ending]) => ending.test(key))?.[1] ?? {};
  const wanted = unit.toLowerCase();
  const factor = Object.hasOwn(factors, wanted) ? factors[wanted] : undefined;
  if (factor === undefined) return '; write the number alone, without a unit';
  return `; write ${round(Number(digits) * factor)}`;
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
