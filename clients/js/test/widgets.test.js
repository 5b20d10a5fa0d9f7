import assert from "node:assert/strict";
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { join, dirname } from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { readNumber } from "../src/units.js";
import { numeral, quantity } from "../widgets/quantity.js";
import { NumberField } from "../widgets/field.js";
import { shared } from "../widgets/words.js";

const here = dirname(fileURLToPath(import.meta.url));
const root = join(here, "../../..");

// Widgets are classes of a browser; of them only what they say is looked at here, the rest in Chromium.
globalThis.HTMLElement ??= class {};
const elements = new Map();
globalThis.customElements ??= { get: (tag) => elements.get(tag), define: (tag, element) => elements.set(tag, element) };
const operations = { heater: "postHeaterSizing", topoff: "postTopOffEndurance", salinity: "postSalinityConversion", light: "postLightScheduleScore", audit: "postPlanAudit" };
for (const name of Object.keys(operations)) await import(`../widgets/${name}.js`);

test("plain numbers are read as the service reads them, and nothing else is", () => {
  const rows = JSON.parse(readFileSync(join(root, "clients/reading/testdata/plain.json"), "utf8"));
  assert.ok(rows.length > 15);
  for (const [text, want] of rows) assert.deepEqual(readNumber(text), want ?? NaN, text);
});

// NIST SP 811 (2008), appendix B.8: 1 in = 25.4 mm, 1 gal (US) = 3.785 412 L; B.8 too: t/degC = (t/degF - 32)/1.8.
test("quantities in the units of the US", () => {
  assert.equal(numeral(1219.2, "length", "us", "en"), "48");
  assert.equal(numeral(3.785412, "volume", "us", "en"), "1");
  assert.equal(quantity(25, "temperature", "us", "de"), "77\u00a0°F");
  assert.equal(quantity(5, "difference", "us", "de"), "9\u00a0°F");
  assert.equal(quantity(1234.5, "volume", "metric", "de"), "1.234,5\u00a0L");
  assert.equal(quantity(100, "power", "us", "en"), "100\u00a0W");
});

test("a field keeps what was typed, and its value through every change of units", () => {
  const field = new NumberField({ name: "length_mm", kind: "length", low: 100, high: 20000 });
  field.type("48.0", "us", "en");
  assert.equal(field.value, 1219.2);
  assert.equal(field.text("metric", "de"), "121,9");
  assert.equal(field.text("us", "de"), "48.0");
  assert.equal(field.value, 1219.2);
  field.type("4 ft", "us");
  assert.deepEqual([field.value, field.waiting, field.fault("us", "en", shared.en)], [null, "4 ft", null], "only the service can read it");
  field.learn(1219.2);
  assert.deepEqual([field.value, field.waiting, field.text("us", "en"), field.text("metric", "de")], [1219.2, "", "4 ft", "121,9"]);
  assert.equal(field.hint("us", "en", shared.en), "= 48\u00a0in", "what was understood is said");
  assert.equal(field.hint("metric", "en", shared.en), undefined);
  field.type("3", "us");
  assert.match(field.fault("us", "en", shared.en), /3\.94.in and 787\.4.in/);
});

const keysOf = (words, prefix = "") => Object.entries(words).flatMap(([k, v]) => (v && typeof v === "object" ? keysOf(v, `${prefix}${k}.`) : [`${prefix}${k} ${typeof v}`])).sort();

test("every language says the same things, and every choice of the contract has a name in each", () => {
  assert.equal(elements.size, 5);
  for (const lang of ["de", "es"]) {
    assert.deepEqual(keysOf(shared[lang]), keysOf(shared.en), lang);
    for (const [tag, element] of elements) assert.deepEqual(keysOf(element.words[lang]), keysOf(element.words.en), `${tag} in ${lang}`);
  }
  for (const [tag, element] of elements) {
    for (const lang of Object.keys(shared)) {
      const words = { ...shared[lang], ...element.words[lang] };
      const names = { ...shared[lang].choices, ...element.words[lang].choices };
      for (const field of element.fields) {
        assert.equal(typeof words[field.name], "string", `${tag}: label of ${field.name} in ${lang}`);
        for (const choice of field.choices ?? []) assert.ok(names[choice], `${tag}: ${choice} in ${lang}`);
      }
    }
    const grouped = Object.values(element.groups).flat();
    if (grouped.length > 0) assert.deepEqual(grouped.sort(), element.fields.map((f) => f.name).sort(), `${tag}: groups`);
  }
});

/** Every text of some words, by its name; a text that is made is made of x. */
const textsOf = (words, prefix = "") =>
  Object.entries(words).flatMap(([k, v]) => (v && typeof v === "object" ? textsOf(v, `${prefix}${k}.`) : [[prefix + k, typeof v === "function" ? v(() => "x", "x") : v]]));

test("no words of German or Spanish are left in English", () => {
  let compared = 0;
  for (const [where, words] of [["shared", shared], ...[...elements].map(([tag, element]) => [tag, element.words])]) {
    const english = Object.fromEntries(textsOf(words.en));
    for (const lang of ["de", "es"]) {
      for (const [name, text] of textsOf(words[lang])) {
        compared++;
        // Temperatures alone, and words that both languages share.
        if (/^[\d °CF/.]+$/.test(text) || ["units-us", "us", "choices.25_25_c", "sump"].includes(name)) continue;
        assert.notEqual(text, english[name], `${where}: ${name} in ${lang}`);
      }
    }
  }
  assert.ok(compared > 150, `only ${compared} were compared`);
});

test("a page to link to asks the same question, in the reader's units and language", () => {
  const page = (tag, more, ...asked) => {
    const element = elements.get(tag);
    return element.prototype.page.call({ constructor: element, language: "de", units: "metric", spoken: element.prototype.spoken, ...more }, ...asked);
  };
  const heater = { length_mm: 914.4, lid: "closed", room_c: 21 };
  assert.equal(page("saltwright-heater", {}, heater), "/docs/calculators/heater-sizing/?length_mm=914.4&lid=closed&room_c=21&language=de");
  assert.equal(page("saltwright-heater", { units: "us" }, heater), "/docs/calculators/heater-sizing/?length_mm=36&lid=closed&room_c=69.8&units=us&labelled=us&language=de");
  assert.equal(page("saltwright-audit", {}, {}, "/v1/plan-audit?detail=brief&plan=abc-_&language=de"), "/plan/?plan=abc-_&language=de");
  assert.ok(!page("saltwright-audit", {}, {}, null), "a plan too long for an address has no page");
  const light = new URLSearchParams(page("saltwright-light", {}, { channels: [] }).split("?")[1]);
  assert.equal(light.get("body"), '{"channels":[]}');
  assert.equal(page("saltwright-light", {}, { channels: [{ id: "x".repeat(6000) }] }), "");
});

test("a widget weighs 14 kB at most, and the manifest names what there is", () => {
  const { files } = JSON.parse(readFileSync(join(here, "../dist/manifest.json"), "utf8"));
  // The client for pages is no element, and one file has them all.
  assert.deepEqual(Object.values(files).map((f) => f.tag).filter((tag) => tag && tag !== "*").sort(), [...elements.keys()].sort());
  for (const [name, { brotli, tag }] of Object.entries(files)) {
    assert.ok(existsSync(join(here, "../dist", name)));
    assert.ok(brotli > 1000 && brotli <= (tag === "*" ? 28000 : 14000), `${name}: ${brotli}`);
  }
});
