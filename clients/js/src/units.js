import { table } from "./units.gen.js";

/** A unit: its text, what is shown of a number in the contract's unit, and how that is read back. */
export const scaled = (unit, times = 1, over = 1, offset = 0) => ({
  unit,
  show: (v) => (v * times) / over + offset,
  read: (v) => ((v - offset) * over) / times,
});

/**
 * The unit in which people read what the contract has in a unit of that name, by their units: "us" or "metric". A unit
 * that the table does not list is written as it is named.
 */
export function unitFor(name, units) {
  const [metric, ...us] = table[name] ?? [name];
  return units === "us" && us.length > 0 ? scaled(...us) : scaled(metric);
}

/** mm of inches */
export const fromInches = (inches) => unitFor("mm", "us").read(inches);
/** inches of mm */
export const toInches = (mm) => unitFor("mm", "us").show(mm);
/** mm of feet */
export const fromFeet = (feet) => unitFor("m", "us").read(feet) * 1000;
/** litres of US liquid gallons */
export const fromGallons = (gallons) => unitFor("L", "us").read(gallons);
/** US liquid gallons of litres */
export const toGallons = (litres) => unitFor("L", "us").show(litres);
/** degrees Celsius of degrees Fahrenheit */
export const fromFahrenheit = (f) => unitFor("degC", "us").read(f);
/** degrees Fahrenheit of degrees Celsius */
export const toFahrenheit = (c) => unitFor("degC", "us").show(c);
/** kg of pounds */
export const fromPounds = (pounds) => unitFor("kg", "us").read(pounds);
/** pounds of kg */
export const toPounds = (kg) => unitFor("kg", "us").show(kg);

/**
 * Reads a number as people type it, with a decimal point or comma: "25.5", "25,5", "-3", "1 200". Only spaces group
 * thousands. A point is a decimal point always ("1.025"), as in the contract; a comma before exactly three digits is
 * read only after a 0, since 1,200 means two things. Anything else is NaN.
 */
export function readNumber(text) {
  const plain = String(text).trim().replace(/\u2212/, "-");
  if (!/^[+-]?(\d{1,3}([ \u00a0\u202f]\d{3})+|\d+)?([.,]\d*)?$/.test(plain) || !/\d/.test(plain)) return NaN;
  if (/[1-9]\d*,\d{3}$/.test(plain.replace(/[ \u00a0\u202f]/g, ""))) return NaN;
  return Number(plain.replace(/[ \u00a0\u202f]/g, "").replace(",", "."));
}
