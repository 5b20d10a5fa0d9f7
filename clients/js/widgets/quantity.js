import { readNumber, scaled, unitFor } from "../src/units.js";

/**
 * What a number is: the contract's unit, which is the one in a member's name, and the digits after the decimal mark
 * that metric readers and readers in the US are shown.
 */
const kinds = {
  length: ["mm", 1, 2],
  volume: ["L", 1, 2],
  flow: ["L/h", 1, 2],
  daily: ["L/d", 2],
  temperature: ["degC", 1],
  difference: ["K", 1],
  power: ["W", 0],
  energy: ["kWh/d", 2],
  hours: ["h", 1],
  days: ["d", 1],
  minutes: ["min", 0],
  percent: ["%", 0],
  photons: ["umol/(m2 s)", 0],
  integral: ["mol/(m2 d)", 1],
  salinity: ["1", 2],
  number: ["1", 5],
};

/** A kind in a system of units: its unit, digits, and show and read of units.js. Tanks are measured in cm. */
export function side(kind, units) {
  const [name, metric, us = metric] = kinds[kind];
  if (units === "us") return { ...unitFor(name, units), digits: us };
  return { ...(name === "mm" ? scaled("cm", 1, 10) : unitFor(name)), digits: metric };
}

/** Whether a language writes a decimal comma. */
export const usesComma = (lang) => new Intl.NumberFormat(lang).format(1.5).includes(",");

const numberIn = ({ show, digits }, value, lang, useGrouping) =>
  new Intl.NumberFormat(lang, { maximumFractionDigits: digits, useGrouping }).format(show(value));

const withUnit = (side, value, lang) => numberIn(side, value, lang, true) + (side.unit && `\u00a0${side.unit}`);

/** A number without its unit, as a person of that language reads it; without marks between thousands it can be typed. */
export const numeral = (value, kind, units, lang, useGrouping = false) =>
  numberIn(side(kind, units), value, lang, useGrouping);

/** A number with its unit. */
export const quantity = (value, kind, units, lang) => withUnit(side(kind, units), value, lang);

/** A number in a unit that the service names, such as degC, with its unit. */
export const stated = (value, name, units, lang) => withUnit(unitFor(name, units), value, lang);

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
