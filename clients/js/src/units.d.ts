/** the unit in which people read what the contract has in a unit of that name, and its numbers both ways */
export function unitFor(name: string, units: "metric" | "us"): { unit: string; show(v: number): number; read(v: number): number };
/** mm of inches (25.4 mm exactly) */
export function fromInches(inches: number): number;
export function toInches(mm: number): number;
/** mm of feet (12 inches) */
export function fromFeet(feet: number): number;
/** litres of US liquid gallons (231 cubic inches exactly) */
export function fromGallons(gallons: number): number;
export function toGallons(litres: number): number;
export function fromFahrenheit(f: number): number;
export function toFahrenheit(c: number): number;
/** kg of pounds (0.45359237 kg exactly) */
export function fromPounds(pounds: number): number;
export function toPounds(kg: number): number;
/** a number as people type it, with decimal point or comma; NaN for anything else */
export function readNumber(text: string): number;
