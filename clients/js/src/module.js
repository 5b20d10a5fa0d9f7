// Everything in one: built into dist/saltwright-client.js, which a page imports by its address.
export * from "./client.js";
export * from "./units.js";
