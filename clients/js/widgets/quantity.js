import { scaled, unitFor } from "../src/units.js";

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
  days: ["d", 1],
  minutes: ["min", 0],
  percent: ["%", 0],
  photons: ["umol/(m2 s)", 0],
  number: ["1", 5],
};

/** A kind in a system of units: its unit, digits, and show and read of units.js. Tanks are measured in cm. */
export function side(kind, units) {
  const [name, metric, us = metric] = kinds[kind];
  if (units === "us") return { ...unitFor(name, units), digits: us };
  return { ...(name === "mm" ? scaled("cm", 1, 10) : unitFor(name)), digits: metric };
}

const numberIn = ({ show, digits }, value, lang, useGrouping) =>
  new Intl.NumberFormat(lang, { maximumFractionDigits: digits, useGrouping }).format(show(value));

/** A number without its unit and without marks between thousands, as a person of that language can type it. */
export const numeral = (value, kind, units, lang) => numberIn(side(kind, units), value, lang, false);

/** A number with its unit. */
export function quantity(value, kind, units, lang) {
  const said = side(kind, units);
  return numberIn(said, value, lang, true) + (said.unit && `\u00a0${said.unit}`);
}
