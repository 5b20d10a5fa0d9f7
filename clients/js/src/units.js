// Exact factors of the units that readers of the US use. The international inch
// is 25.4 mm and the pound 0.45359237 kg (international yard and pound agreement
// of 1959); the US liquid gallon is 231 cubic inches (NIST SP 811, appendix B).
const mmPerInch = 25.4;
const litresPerGallon = (231 * 25.4 ** 3) / 1e6;
const kgPerPound = 0.45359237;

/** mm of inches */
export const fromInches = (inches) => inches * mmPerInch;
/** inches of mm */
export const toInches = (mm) => mm / mmPerInch;
/** mm of feet */
export const fromFeet = (feet) => feet * 12 * mmPerInch;
/** litres of US liquid gallons */
export const fromGallons = (gallons) => gallons * litresPerGallon;
/** US liquid gallons of litres */
export const toGallons = (litres) => litres / litresPerGallon;
/** degrees Celsius of degrees Fahrenheit */
export const fromFahrenheit = (f) => (f - 32) / 1.8;
/** degrees Fahrenheit of degrees Celsius */
export const toFahrenheit = (c) => c * 1.8 + 32;
/** kg of pounds */
export const fromPounds = (pounds) => pounds * kgPerPound;
/** pounds of kg */
export const toPounds = (kg) => kg / kgPerPound;

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
