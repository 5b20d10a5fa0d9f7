import { h } from "./dom.js";
import { readNumber } from "../src/units.js";
import { numeral, quantity, side } from "./quantity.js";

/**
 * One question: a label, a control, what an empty one means, and what is wrong with it, in nodes that refer to each
 * other. spec: name (of the contract's member), required, and what the kinds of fields say below.
 */
export class Field {
  control = null;
  label = "";
  marked = false; // whether a fault is shown
  waiting = ""; // what was typed and only the service can read, until it has
  problem = null; // what the service said, until the field is changed
  #error;
  #hint;
  #value; // as the contract has it; undefined: empty; null: unreadable

  constructor(spec, id = spec.name) {
    this.spec = spec;
    this.id = id;
  }

  /** What would be sent; undefined where empty; null where it cannot be read. */
  get value() {
    return this.#value;
  }

  set value(v) {
    this.problem = null;
    this.waiting = "";
    this.#value = this.take(v === null || v === "" ? undefined : v);
  }

  /** What a value from outside is as the contract has it. */
  take(v) {
    return v;
  }

  /** Takes a text as typed. */
  type(text, units) {
    this.problem = null;
    this.waiting = "";
    this.#value = text.trim() === "" ? undefined : this.read(text, units);
  }

  /** Takes what the service read in the text that was waiting. */
  learn(v) {
    this.waiting = "";
    this.#value = v;
  }

  /** What a text says, or null. */
  read(text) {
    return text;
  }

  /** What stands in the control. */
  text() {
    return this.value ?? "";
  }

  /** What an empty one means, or nothing. */
  hint() {
    return undefined;
  }

  unit() {
    return "";
  }

  /** What is wrong, or null. */
  fault(units, lang, words) {
    if (this.problem) return this.problem;
    if (this.waiting) return null;
    if (this.value === undefined) return this.spec.required ? words.required : null;
    return this.value === null ? words.unreadable : null;
  }

  draw({ units, lang, words, oninput, onchange, readonly }) {
    const { id, spec } = this;
    this.hinted = () => this.hint(units, lang, words);
    const hint = this.hinted();
    const unit = this.unit(units);
    const attributes = { id, part: "input", "aria-describedby": `${id}-hint ${id}-error`, "aria-required": spec.required ? "true" : undefined };
    this.control = this.drawControl(attributes, { words, readonly });
    this.control.value = this.text(units, lang);
    this.control.addEventListener("input", () => (this.type(this.control.value, units), oninput(this)));
    this.control.addEventListener("change", () => onchange(this));
    this.#error = h("p", { id: `${id}-error`, class: "error", part: "error", hidden: true });
    return h(
      "div",
      { class: "field", part: "field" },
      h("label", { for: id, part: "label" }, this.label, unit && [" ", h("span", { class: "unit" }, unit)]),
      this.control,
      (this.#hint = h("p", { id: `${id}-hint`, class: "hint", part: "hint", hidden: !hint }, hint)),
      this.#error,
    );
  }

  drawControl(attributes, { readonly }) {
    return h("input", { ...attributes, type: "text", autocomplete: "off", readonly });
  }

  /** Shows a fault beside the control, or that there is none. */
  mark(fault) {
    this.marked = Boolean(fault);
    if (!this.control) return;
    const hint = this.hinted();
    this.#hint.textContent = hint ?? "";
    this.#hint.hidden = !hint;
    this.#error.textContent = fault ?? "";
    this.#error.hidden = !fault;
    if (fault) this.control.setAttribute("aria-invalid", "true");
    else this.control.removeAttribute("aria-invalid");
  }
}

/**
 * A number. It keeps what was typed together with the units it was typed in: others show it converted, and the first
 * ones show it again letter by letter. A plain number is read here; anything else, such as 36 in or 1,200, waits until
 * the service has read it. spec: kind of quantity.js; low, high and empty in the contract's unit.
 */
export class NumberField extends Field {
  #typed = "";
  typedIn = "metric";

  take(v) {
    this.#typed = "";
    if (v === undefined || Number.isFinite(Number(v))) return v === undefined ? v : Number(v);
    this.#typed = String(v);
    return null;
  }

  type(text, units) {
    this.#typed = text;
    this.typedIn = units;
    super.type(text, units);
  }

  read(text, units) {
    const v = readNumber(text);
    if (Number.isFinite(v)) return Number(side(this.spec.kind, units).read(v).toPrecision(12)); // 48 in are 1219.2 mm, not 1219.1999999999998
    this.waiting = text.trim();
    return null;
  }

  text(units, lang) {
    if (this.#typed !== "" && (this.typedIn === units || this.value === null)) return this.#typed;
    return Number.isFinite(this.value) ? numeral(this.value, this.spec.kind, units, lang) : "";
  }

  /** What an empty one means, or what the service read in another unit or form. */
  hint(units, lang, words) {
    const { name, kind, empty } = this.spec;
    const show = (v, as = kind) => quantity(v, as, units, lang);
    if (Number.isFinite(this.value)) return this.typedIn === units && this.#typed !== "" && Number.isNaN(readNumber(this.#typed)) ? `= ${show(this.value)}` : undefined;
    if (this.#typed.trim() !== "") return undefined;
    const said = words[`${name}_empty`]?.(show) ?? (empty === undefined ? undefined : show(empty));
    return said && words.empty(said);
  }

  unit(units) {
    return side(this.spec.kind, units).unit;
  }

  fault(units, lang, words) {
    const fault = super.fault(units, lang, words);
    const { kind, low, high } = this.spec;
    if (fault || this.waiting || this.value === undefined || (this.value >= low && this.value <= high)) return fault;
    return words.between(quantity(low, kind, units, lang), quantity(high, kind, units, lang));
  }
}

/** One of the contract's choices. spec: choices, and empty: the one that is meant by none. */
export class ChoiceField extends Field {
  take(v) {
    return this.spec.choices.includes(v) ? v : undefined;
  }

  text() {
    return this.value ?? this.spec.empty ?? "";
  }

  drawControl(attributes, { words, readonly }) {
    const { choices, empty } = this.spec;
    const none = empty === undefined && h("option", { value: "" }, "–");
    return h("select", { ...attributes, disabled: readonly }, none, choices.map((one) => h("option", { value: one }, words.choices[one] ?? one)));
  }
}

/** A time of day, as HH:MM. */
export class ClockField extends Field {
  drawControl(attributes, { readonly }) {
    return h("input", { ...attributes, type: "time", readonly });
  }
}

/** The field for a spec: a number has a kind, a choice has choices. */
export const fieldFor = (spec, id) => new (spec.choices ? ChoiceField : NumberField)(spec, id);

/** The fields of a widget: for every member of a request of the contract its kind, or nothing where it has choices. */
export const fieldsOf = (request, kinds) => Object.entries(kinds).map(([name, kind]) => ({ name, kind, ...request[name] }));

/** The choice of units of a whole widget; choose is called with the one that was chosen. */
export function unitSwitch(words, units, choose) {
  const choice = (v) => h("label", {}, h("input", { type: "radio", name: "units", id: `units-${v}`, value: v, part: "units-choice", onchange: () => choose(v) }), words[v]);
  const set = h("fieldset", { class: "units", part: "units" }, h("legend", {}, words.units), choice("metric"), choice("us"));
  set.querySelector(`[value=${units}]`).checked = true;
  return set;
}
