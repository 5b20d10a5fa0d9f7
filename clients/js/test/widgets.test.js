import assert from "node:assert/strict";
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { join, dirname } from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { numeral, quantity, readTyped, stated } from "../widgets/quantity.js";
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

test("numbers as people of a language type them", () => {
  for (const [text, comma, low, high, want] of [
    ["25.5", false, 0, 100, 25.5],
    ["25,5", false, 0, 100, 25.5], // one digit after it: no mark of thousands
    ["25,5", true, 0, 100, 25.5],
    ["25.5", true, 0, 100, 25.5],
    ["1,025", true, 0, 1100, 1.025], // the language's own decimal mark
    ["1.025", false, 0, 1100, 1.025],
    ["1.025", true, 0.9, 1.1, 1.025], // the other mark: what the field takes
    ["1.025", true, 980, 1100, 1025],
    ["1,200", false, 5, 1e6, 1200],
    ["1,200", false, 0, 1e6, undefined], // both could be meant
    ["1.200", true, 0, 1e6, undefined],
    ["1,200.5", false, 0, 1e6, 1200.5],
    ["1.200,5", true, 0, 1e6, 1200.5],
    ["1,200,000", false, 0, 1e9, 1200000],
    ["1 200,5", true, 0, 1e6, 1200.5],
    ["0,125", false, 0, 1, 0.125], // a group of thousands never begins with 0
    ["\u22123", false, -10, 10, -3],
    ["1.200,50.3", true, 0, 1e6, NaN],
    ["warm", false, 0, 100, NaN],
    ["1e3", false, 0, 1e6, NaN],
  ])
    assert.deepEqual(readTyped(text, comma, low, high), want, `${text} with decimal ${comma ? "comma" : "point"}, ${low} to ${high}`);
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

test("what the service assumed is told in the reader's units, never in the contract's spelling", () => {
  assert.equal(stated(25.5, "degC", "metric", "de"), "25,5\u00a0°C");
  assert.equal(stated(25.5, "degC", "us", "en"), "77.9\u00a0°F");
  assert.equal(stated(40, "mm", "us", "en"), "1.575\u00a0in");
  assert.equal(stated(0.3, "1", "us", "en"), "0.3");
  assert.equal(stated(50, "%", "metric", "en"), "50\u00a0%");
  let told = 0;
  for (const operation of Object.values(operations)) {
    const folder = join(root, "testdata/api", operation);
    for (const file of readdirSync(folder).filter((f) => f.endsWith(".response.json"))) {
      for (const { value, unit } of JSON.parse(readFileSync(join(folder, file), "utf8")).assumptions ?? []) {
        if (typeof value !== "number") continue;
        for (const units of ["metric", "us"]) {
          const text = stated(value, unit, units, "en");
          assert.ok(!/deg|umol|m2|m3|that of|undefined|NaN|\u00a01$/.test(text), `${file}: ${text}`);
          told++;
        }
      }
    }
  }
  assert.ok(told > 100, `only ${told} were told`);
});

test("a field keeps what was typed, and its value through every change of units", () => {
  const field = new NumberField({ name: "length_mm", kind: "length", low: 100, high: 20000 });
  field.type("48.0", "us", "en");
  assert.equal(field.value, 1219.2);
  assert.equal(field.text("metric", "de"), "121,9");
  assert.equal(field.text("us", "de"), "48.0");
  assert.equal(field.value, 1219.2);
  field.type("four feet", "us", "en");
  assert.equal(field.value, null);
  assert.equal(field.text("metric", "en"), "four feet");
  assert.match(field.fault("us", "en", shared.en).text, /no number/);
  field.type("3", "us", "en");
  assert.match(field.fault("us", "en", shared.en).text, /3\.94.in and 787\.4.in/);
});

const keysOf = (words, prefix = "") => Object.entries(words).flatMap(([k, v]) => (v && typeof v === "object" ? keysOf(v, `${prefix}${k}.`) : [`${prefix}${k} ${typeof v}`])).sort();

test("every language says the same things, and every choice of the contract has a name in each", () => {
  assert.equal(elements.size, 5);
  for (const lang of ["de", "es"]) {
    const { caution: english, ...rest } = shared.en;
    const { caution, ...own } = shared[lang];
    assert.deepEqual(keysOf(own), keysOf(rest), lang);
    assert.deepEqual(english, {}, "English cautions are the service's own");
    for (const [tag, element] of elements) {
      const { caution, ...words } = element.words[lang];
      assert.deepEqual(keysOf(words), keysOf(element.words.en), `${tag} in ${lang}`);
    }
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

test("every caution that the shared cases give is translated, and every case can be shown in every language", () => {
  let shown = 0;
  for (const [name, operation] of Object.entries(operations)) {
    const element = elements.get(name === "topoff" ? "saltwright-top-off" : `saltwright-${name}`);
    const folder = join(root, "testdata/api", operation);
    for (const file of readdirSync(folder).filter((f) => f.endsWith(".response.json"))) {
      const answer = JSON.parse(readFileSync(join(folder, file), "utf8"));
      if (answer.code) continue; // a problem
      const request = JSON.parse(readFileSync(join(folder, file.replace("response", "request")), "utf8"));
      for (const lang of ["en", "de", "es"]) {
        const words = { ...shared[lang], ...element.words[lang] };
        const cautions = { ...shared[lang].caution, ...element.words[lang].caution };
        for (const { code } of answer.cautions) if (lang !== "en") assert.ok(cautions[code], `${code} in ${lang}`);
        const show = Object.assign((v, kind) => quantity(v, kind, "us", lang), { lang, words });
        for (const asked of [request, {}]) { // {}: an answer that a page has from elsewhere
          const gist = element.prototype.gist.call({}, answer.result, show, asked);
          assert.ok(gist.length > 10 && !/undefined|NaN|null/.test(gist), `${file} in ${lang}: ${gist}`);
          shown++;
        }
      }
    }
  }
  assert.ok(shown > 50, `only ${shown} were shown`);
});

test("a widget weighs 15 kB at most, and the manifest names what there is", () => {
  const { files } = JSON.parse(readFileSync(join(here, "../dist/manifest.json"), "utf8"));
  // The client for pages is no element, and so has no tag.
  assert.deepEqual(Object.values(files).map((f) => f.tag).filter(Boolean).sort(), [...elements.keys()].sort());
  for (const [name, { brotli }] of Object.entries(files)) {
    assert.ok(existsSync(join(here, "../dist", name)));
    assert.ok(brotli > 1000 && brotli <= 15000, `${name}: ${brotli}`);
  }
});
