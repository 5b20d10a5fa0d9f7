import { fromFahrenheit, fromGallons, fromInches, readNumber, toFahrenheit, toGallons, toInches } from "../src/units.js";

const plain = (unit, digits) => ({ metric: { unit, digits, show: (v) => v, read: (v) => v } });

/**
 * What a number is. The contract's unit is the one in a member's name; show turns it into what a person reads, read
 * turns it back, digits are those after the decimal mark.
 */
export const kinds = {
  length: {
    metric: { unit: "cm", digits: 1, show: (v) => v / 10, read: (v) => v * 10 },
    us: { unit: "in", digits: 2, show: toInches, read: fromInches },
  },
  volume: { metric: { unit: "L", digits: 1, show: (v) => v, read: (v) => v }, us: { unit: "gal", digits: 2, show: toGallons, read: fromGallons } },
  flow: { metric: { unit: "L/h", digits: 1, show: (v) => v, read: (v) => v }, us: { unit: "gal/h", digits: 2, show: toGallons, read: fromGallons } },
  daily: { metric: { unit: "L/d", digits: 2, show: (v) => v, read: (v) => v }, us: { unit: "gal/d", digits: 2, show: toGallons, read: fromGallons } },
  temperature: { metric: { unit: "°C", digits: 1, show: (v) => v, read: (v) => v }, us: { unit: "°F", digits: 1, show: toFahrenheit, read: fromFahrenheit } },
  difference: { metric: { unit: "K", digits: 1, show: (v) => v, read: (v) => v }, us: { unit: "°F", digits: 1, show: (v) => v * 1.8, read: (v) => v / 1.8 } },
  power: plain("W", 0),
  energy: plain("kWh/d", 2),
  hours: plain("h", 1),
  days: plain("d", 1),
  minutes: plain("min", 0),
  percent: plain("%", 0),
  photons: plain("µmol/(m² s)", 0),
  integral: plain("mol/(m² d)", 1),
  salinity: plain("", 2),
  number: plain("", 5),
};

/** A kind in a system of units; US units where readers of the US have their own. */
export const side = (kind, units) => kinds[kind][units] ?? kinds[kind].metric;

/** Whether a language writes a decimal comma. */
export const usesComma = (lang) => new Intl.NumberFormat(lang).format(1.5).includes(",");

/** A number without its unit, as a person of that language reads it; without marks between thousands it can be typed. */
export function numeral(value, kind, units, lang, useGrouping = false) {
  const { show, digits } = side(kind, units);
  return new Intl.NumberFormat(lang, { maximumFractionDigits: digits, useGrouping }).format(show(value));
}

/** A number with its unit. */
export function quantity(value, kind, units, lang) {
  const { unit } = side(kind, units);
  const text = numeral(value, kind, units, lang, true);
  return unit === "" ? text : `${text}\u00a0${unit}`;
}

/**
 * Reads what was typed into a field that takes low to high. The language's own decimal mark is read as such always,
 * "1,025" in Spanish as "1.025" in English. The other mark before exactly three digits means two things: it is read as
 * the one that the field takes, and as neither where it takes both.
 *
 * Returns the number; NaN for what is no number; undefined for what means two things.
 */
export function readTyped(text, comma, low, high) {
  const [own, other] = comma ? [",", "."] : [".", ","];
  const typed = text.trim();
  const groups = new RegExp(`^([+-]?[1-9]\\d{0,2}(?:\\${other}\\d{3})+)(\\${own}\\d*)?$`).exec(typed);
  if (!groups) return readNumber(typed.replace(own, "."));
  const whole = Number(groups[1].replaceAll(other, "") + (groups[2] ?? "").replace(own, "."));
  const parts = typed.split(other);
  if (groups[2] || parts.length > 2) return whole;
  const fits = [Number(parts.join(".")), whole].filter((v) => v >= low && v <= high);
  return fits.length === 1 ? fits[0] : undefined;
}
