import { ProblemError } from "../src/caller.js";
import { callerOf, complaintOf, membersOf, shown } from "./answer.js";
import { h } from "./dom.js";
import { fieldFor, unitSwitch } from "./field.js";
import { sheets } from "./style.js";
import { languageOf, shared } from "./words.js";

const attributeOf = (member) => member.replaceAll("_", "-");
const propertyOf = (member) => member.replace(/_(\w)/g, (_, letter) => letter.toUpperCase());
const longest = 30_000; // ms an answer may take

/** The service that this very file came from: what stands before /embed/ in its address. */
const home = new URL(import.meta.url).href.replace(/\/embed\/.*$|\/[^/]*$/, "");

/**
 * A custom element that asks one operation and shows the answer in the service's words, which are in the reader's units
 * and language. Its questions are attributes and properties of the same values, always in the contract's units:
 * length-mm and lengthMm. Others: api (the service, by default the one the script came from), units (metric or us), lang
 * (en, de, es), theme (light or dark), heading, level (of the heading, 1 to 6), readonly, autorun (asks at once and
 * after every change), and of a form's members name, disabled, required.
 *
 * Events bubble and leave the shadow root: saltwright-input { request }, saltwright-answer { request, answer, link } with
 * the service's whole envelope and the address of a page that shows it, saltwright-problem { problem, error }. In a form
 * it carries request, result, summary and link as JSON once there is an answer.
 *
 * A kind of widget says: calculator (its operation's name), fields (of contract.gen.js, with a kind or choices), groups
 * (of fields, by the name of their legend), words and css; where it has pictures charts and shaping; and where it differs
 * parts(result, words), which it adds to what every answer has, and page(request, location).
 */
export class Widget extends HTMLElement {
  static formAssociated = true;
  static calculator = "";
  static fields = [];
  static groups = {};
  static css = "";
  static shaping = {};
  static charts = () => [];

  static get observedAttributes() {
    return ["api", "units", "lang", "heading", "level", "readonly", ...this.fields.map((f) => attributeOf(f.name))];
  }

  /** Makes the element known, with a property for every field. */
  static define(tag) {
    for (const { name } of this.fields) {
      Object.defineProperty(this.prototype, propertyOf(name), {
        configurable: true,
        enumerable: true,
        get() {
          return this.fields.get(name).value ?? null;
        },
        set(v) {
          this.#reflect(attributeOf(name), v);
        },
      });
    }
    if (!customElements.get(tag)) customElements.define(tag, this);
  }

  #root = this.attachShadow({ mode: "open" });
  #internals = this.attachInternals();
  #skeleton;
  #initial = new Map();
  #typing = false;
  #running;
  #timer;
  #answered; // { request, answer, link }

  fields = new Map(this.constructor.fields.map((spec) => [spec.name, fieldFor(spec)]));

  constructor() {
    super();
    this.#root.adoptedStyleSheets = sheets(this.constructor.css);
    this.addEventListener("invalid", (event) => {
      event.preventDefault(); // the widget says it itself, in place
      if (this.#wrong().length > 0) this.#showWrong();
      else this.#skeleton?.button.focus();
    });
  }

  connectedCallback() {
    for (const name of ["api", "units", "lang", ...this.ownProperties(), "answer", ...this.constructor.fields.map((f) => propertyOf(f.name))]) {
      if (!Object.hasOwn(this, name)) continue; // set before the element was known
      const v = this[name];
      delete this[name];
      this[name] = v;
    }
    if (this.#initial.size === 0) for (const [name, field] of this.fields) this.#initial.set(name, field.value);
    if (!this.#skeleton) this.#build();
    this.draw();
    this.#validity();
    if (this.hasAttribute("autorun")) this.#quietly();
  }

  disconnectedCallback() {
    clearTimeout(this.#timer);
    this.#running?.abort();
  }

  attributeChangedCallback(name, before, now) {
    if (before === now || this.#typing) return;
    for (const [member, field] of this.fields) {
      if (attributeOf(member) !== name) continue;
      field.value = now;
      this.changed();
    }
    this.draw();
    if ((name === "units" || name === "lang") && this.#answered) this.ask();
  }

  formResetCallback() {
    for (const [name, v] of this.#initial) this.#reflect(attributeOf(name), v);
    this.forget();
    this.draw();
  }

  formDisabledCallback() {
    this.draw();
  }

  formStateRestoreCallback(state) {
    try {
      this.restore(JSON.parse(state));
    } catch {
      return; // the state of another version of this element
    }
    this.draw();
  }

  /** Sets what request says; a kind with more than fields sets that too. */
  restore(request) {
    for (const name of this.fields.keys()) this.#reflect(attributeOf(name), request[name]);
  }

  /** Names of properties besides those of fields, for those set before the element was known. */
  ownProperties() {
    return [];
  }

  /** The beginning of the service's address. */
  get api() {
    return this.getAttribute("api") ?? home;
  }

  set api(v) {
    this.#reflect("api", v);
  }

  /** metric or us: what people read and type. */
  get units() {
    return this.getAttribute("units") === "us" ? "us" : "metric";
  }

  set units(v) {
    this.#reflect("units", v);
  }

  /** The last envelope of the service, or null. */
  get answer() {
    return this.#answered?.answer ?? null;
  }

  /** Shows an envelope that the page has from elsewhere. */
  set answer(envelope) {
    if (!this.#skeleton) this.#build();
    this.forget();
    if (!envelope) return;
    this.#answered = { request: this.request, answer: envelope, link: "" };
    this.draw();
    this.#validity();
  }

  get language() {
    return languageOf(this);
  }

  get words() {
    const own = this.constructor.words[this.language];
    const base = shared[this.language];
    return { ...base, ...own, choices: { ...base.choices, ...own.choices } };
  }

  /** What would be asked now, in the contract's units. */
  get request() {
    return Object.fromEntries([...this.fields].filter(([, f]) => f.value !== undefined && f.value !== null).map(([name, f]) => [name, f.value]));
  }

  /** Every field that has to be right before asking. */
  questions() {
    return [...this.fields.values()];
  }

  /** The field that a JSON pointer of the service speaks of. */
  fieldAt(pointer) {
    return this.fields.get(pointer.replace(/^#?\//, ""));
  }

  #reflect(attribute, v) {
    if (v === null || v === undefined) this.removeAttribute(attribute);
    else this.setAttribute(attribute, String(v));
  }

  #build() {
    const head = h("div", { class: "head" });
    const body = h("fieldset");
    const button = h("button", { type: "submit", id: "ask", part: "button" });
    const alert = h("div", { class: "alert", role: "alert", part: "alert" });
    const status = h("p", { class: "gist", role: "status", part: "status" });
    const result = h("div", { role: "group", part: "result", hidden: true });
    const form = h("form", { novalidate: true, onsubmit: (event) => (event.preventDefault(), this.ask()) }, body, h("div", { class: "actions" }, button));
    this.#root.append(h("slot", { name: "before" }), head, form, alert, status, result, h("slot", { name: "after" }));
    this.#skeleton = { head, body, button, alert, status, result };
  }

  /** Draws everything anew from what is known: for another language, other units, other values. */
  draw() {
    if (!this.#skeleton || !this.isConnected) return;
    const { head, body, button, result } = this.#skeleton;
    const focused = this.#root.activeElement?.id;
    const { words, units } = this;
    const level = /^[1-6]$/.test(this.getAttribute("level")) ? this.getAttribute("level") : "2";
    head.replaceChildren(h(`h${level}`, { class: "title", part: "title" }, this.getAttribute("heading") ?? words.title), this.drawUnits(words, units) ?? "");
    body.disabled = this.matches(":disabled");
    button.disabled = body.disabled;
    button.textContent = words.ask;
    result.setAttribute("aria-label", words.answered);
    body.replaceChildren(...this.drawBody(this.context()));
    for (const field of this.questions()) if (field.problem || field.marked) this.#mark(field);
    if (this.#answered) this.#show();
    if (focused) this.#root.getElementById(focused)?.focus({ preventScroll: true });
  }

  /** What drawing a field needs. */
  context() {
    return {
      units: this.units,
      lang: this.language,
      words: this.words,
      readonly: this.hasAttribute("readonly"),
      oninput: (field) => this.typed(field),
      onchange: async (field) => {
        try {
          await this.#read();
        } catch {
          return; // the service is away, which asking will say
        }
        this.#mark(field);
        if (this.hasAttribute("autorun")) this.#soon();
      },
    };
  }

  drawUnits(words, units) {
    return unitSwitch(words, units, (v) => (this.units = v));
  }

  /** The questions: a fieldset for every group of fields. */
  drawBody(context) {
    const { words } = context;
    return Object.entries(this.constructor.groups).map(([legend, names]) =>
      h("fieldset", { part: "group" }, h("legend", {}, words[legend]), h("div", { class: "fields" }, names.map((name) => this.drawField(this.fields.get(name), words[name], context)))),
    );
  }

  drawField(field, label, context) {
    field.label = label;
    return field.draw(context);
  }

  /** A field was changed by its reader. */
  typed(field) {
    this.#follow(field);
    if (field.marked) this.#mark(field);
    this.changed();
    this.dispatch("saltwright-input", { request: this.request });
  }

  /** The attribute follows its field, whose text stays as typed. */
  #follow(field) {
    if (this.fields.get(field.spec.name) !== field) return;
    this.#typing = true;
    this.#reflect(attributeOf(field.spec.name), field.value);
    this.#typing = false;
  }

  /** Has the service read what stands in fields and is no plain number. Rejects where it cannot be reached. */
  async #read() {
    for (const field of this.questions()) {
      const { waiting } = field;
      if (!waiting) continue;
      const [v, unclear] = await this.readFor(field);
      if (field.waiting !== waiting) continue; // typed on meanwhile
      field.learn(v);
      field.problem = unclear ?? null;
      this.#follow(field);
      this.#mark(field);
      this.#validity();
      this.dispatch("saltwright-input", { request: this.request });
    }
  }

  /** What the service reads in a field: a value, or null and why not. */
  async readFor(field) {
    const asked = { calculator: this.constructor.calculator, member: this.pathOf(field), text: field.waiting, labelled: field.typedIn, language: this.language };
    const { number = null, unclear } = (await this.client().ask("GET", "/embed/v1/read", asked)).answer;
    return [number, unclear];
  }

  /** Where a field stands in the request. */
  pathOf(field) {
    return field.spec.name;
  }

  /** What is asked has changed: an answer there is belongs to another question. */
  changed() {
    if (!this.#skeleton) return;
    this.#running?.abort();
    if (this.#answered) this.forget();
    this.#validity();
  }

  /** Another question: asks soon where it asks by itself. */
  changedByHand() {
    this.changed();
    this.dispatch("saltwright-input", { request: this.request });
    if (this.hasAttribute("autorun")) this.#soon();
  }

  /** Takes the answer away. */
  forget() {
    this.#answered = undefined;
    this.#skeleton.result.hidden = true;
    this.#skeleton.result.replaceChildren();
    this.#skeleton.status.textContent = "";
    this.#skeleton.alert.replaceChildren();
    this.#validity();
  }

  #soon() {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#quietly(), 300);
  }

  /** Asks unbidden: where something is wrong or missing the reader is about to say it, and keeps the focus. */
  #quietly() {
    if (this.#wrong().length === 0) this.#ask(false);
  }

  #mark(field) {
    const fault = field.fault(this.units, this.language, this.words);
    field.mark(fault);
    return fault;
  }

  #wrong() {
    return this.questions().filter((f) => f.fault(this.units, this.language, this.words));
  }

  #showWrong() {
    const wrong = this.questions().filter((f) => this.#mark(f));
    this.complain(this.words.wrong(wrong.length));
    this.#lead(wrong);
  }

  #lead([first]) {
    if (!first) return;
    this.reveal(first);
    first.control.focus();
  }

  /** Makes sure that a field is drawn. */
  reveal() {}

  /** Says what went wrong besides fields. */
  complain(text, lines = []) {
    this.#skeleton.status.textContent = "";
    this.#skeleton.alert.replaceChildren(h("p", {}, text), lines.length > 0 ? h("ul", {}, lines.map((line) => h("li", {}, line))) : "");
  }

  #validity() {
    const { words } = this;
    const form = this.#answered ? JSON.stringify({ request: this.#answered.request, result: this.answer.result, summary: this.answer.summary, link: this.#answered.link }) : null;
    this.#internals.setFormValue(form, JSON.stringify(this.request));
    const wrong = this.#wrong().filter((f) => f.value !== undefined);
    if (wrong.length > 0) this.#internals.setValidity({ customError: true }, words.wrong(wrong.length), wrong[0].control);
    else if (this.hasAttribute("required") && !form) this.#internals.setValidity({ valueMissing: true }, words.required, this.#skeleton?.button);
    else this.#internals.setValidity({});
  }

  dispatch(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { bubbles: true, composed: true, detail }));
  }

  /** Asks the service. Resolves to its envelope, or to null where there is none: fields or saltwright-problem say why. */
  ask() {
    return this.#ask(true);
  }

  async #ask(lead) {
    clearTimeout(this.#timer);
    this.#running?.abort();
    if (!this.#skeleton || this.matches(":disabled")) return null;
    const { alert, button, status, result } = this.#skeleton;
    const { words } = this;
    const running = (this.#running = new AbortController());
    const timer = setTimeout(() => running.abort(new DOMException("no answer in time", "TimeoutError")), longest);
    alert.replaceChildren();
    status.textContent = words.asking;
    button.setAttribute("aria-disabled", "true");
    result.setAttribute("aria-busy", "true");
    let came, request;
    try {
      for (const field of this.questions()) if (!field.waiting && field.value !== null) field.problem = null;
      await this.#read();
      if (running !== this.#running) return null;
      if (this.#wrong().length > 0) {
        this.forget();
        if (lead) this.#showWrong();
        return null;
      }
      request = this.request;
      const { units, language, constructor } = this;
      came = await this.client().ask("POST", `/v1/${constructor.calculator}`, request, { ...constructor.shaping, units: units === "us" ? units : undefined, language, signal: running.signal });
    } catch (error) {
      if (running !== this.#running) return null;
      this.forget();
      if (error?.name !== "AbortError") this.#failed(error, lead); // aborted: another question is being typed
      return null;
    } finally {
      clearTimeout(timer);
      if (running === this.#running) {
        button.removeAttribute("aria-disabled");
        result.removeAttribute("aria-busy");
      }
    }
    if (running !== this.#running) return null;
    for (const field of this.questions()) this.#mark(field);
    try {
      const page = this.page(request, came.meta.location);
      this.#answered = { request, answer: came.answer, link: page && this.client().base + page };
      this.#show();
    } catch (error) {
      this.forget(); // something else answers at this address
      this.complain(words.refused, [words.strange(this.api)]);
      this.dispatch("saltwright-problem", { problem: null, error });
      return null;
    }
    this.#validity();
    this.dispatch("saltwright-answer", { ...this.#answered });
    return came.answer;
  }

  client() {
    return callerOf(this.api);
  }

  #failed(error, lead) {
    const { words } = this;
    const problem = error instanceof ProblemError ? error : null;
    const lines = [];
    for (const { pointer, parameter, detail } of problem?.errors ?? []) {
      const field = pointer && this.fieldAt(pointer);
      if (field) field.problem = detail;
      else lines.push(`${pointer ?? parameter ?? ""} ${detail}`.trim());
    }
    const wrong = problem ? this.questions().filter((f) => this.#mark(f)) : [];
    if (wrong.length > 0) this.complain(words.wrong(wrong.length), lines);
    else this.complain(...complaintOf(error, lines, words, this.api));
    this.#validity();
    if (lead) this.#lead(wrong);
    this.dispatch("saltwright-problem", { problem: problem?.problem ?? null, error });
  }

  /** The page that shows this question and its answer, in the reader's units and language; empty where there is none. */
  page(request) {
    const { units, constructor } = this;
    return `/docs/calculators/${constructor.calculator}/?${this.spoken(membersOf(constructor.fields, request, units), units === "us" && { labelled: units })}`;
  }

  /** A query with the reader's units and language. */
  spoken(query, more) {
    const { units, language } = this;
    for (const [name, v] of Object.entries({ ...(units === "us" && { units }), ...more, language })) query.set(name, v);
    return query;
  }

  /** What this kind of widget adds to what every answer has. */
  parts() {
    return [];
  }

  #show() {
    const { status, result } = this.#skeleton;
    const [{ answer, link }, { words, constructor }] = [this.#answered, this];
    status.textContent = answer.headline;
    const pictures = constructor.charts((answer.charts ?? []).slice(0, 1), words.table);
    result.replaceChildren(...shown(answer, link, words, pictures, this.parts(answer.result, words)));
    result.hidden = false;
  }
}
