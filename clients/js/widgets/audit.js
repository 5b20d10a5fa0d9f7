import { charts, chartStyle } from "./chart.js";
import { h } from "./dom.js";
import { Field } from "./field.js";
import { Widget } from "./widget.js";

const most = 5; // findings that are shown; the workshop has them all

/** A plan: its JSON, or a link that carries it, which waits until the service has opened it. */
class PlanField extends Field {
  #typed;

  take(v) {
    this.#typed = undefined;
    return v;
  }

  read(text) {
    this.#typed = text;
    try {
      const link = new URL(text.trim(), document.baseURI).searchParams.get("plan");
      if (link) return (this.waiting = link), null;
    } catch {
      // no address
    }
    try {
      return JSON.parse(text);
    } catch {
      return null;
    }
  }

  learn(v) {
    this.#typed = undefined;
    super.learn(v);
    if (this.control) this.control.value = this.text();
  }

  text() {
    return this.#typed ?? (this.value === undefined || this.value === null ? "" : JSON.stringify(this.value, null, 1));
  }

  fault(units, lang, words) {
    const fault = super.fault(units, lang, words);
    return fault && !this.problem && this.value === null ? words.unreadablePlan : fault;
  }

  drawControl(attributes, { readonly }) {
    return h("textarea", { ...attributes, rows: "8", spellcheck: "false", readonly });
  }
}

/**
 * <saltwright-audit>: what every single fault does to a plan, the worst first, with a way to the plan in the workshop.
 * The plan comes as the property plan, as a script of type application/json inside the element, from the address in src,
 * which may be a link that carries it in plan=, or is pasted; an answer the page has already is shown by the property
 * answer.
 */
class PlanAudit extends Widget {
  static calculator = "plan-audit";
  static shaping = { detail: "brief", include: "charts" };
  static charts = charts;
  static css = `${chartStyle}
textarea{min-height:10rem;font:.85rem/1.4 ui-monospace,monospace;color:inherit;background:var(--_field);border:1px solid var(--_edge);border-radius:.3rem;padding:.5rem;width:100%;resize:vertical}
.findings>li{margin-block:.6rem}.fatal{color:var(--_bad)}
`;
  static words = {
    en: {
      title: "What each single fault does", ask: "Audit the plan", plan: "Plan: its link or its JSON", unreadablePlan: "This is no plan: paste its JSON, or a link with plan= in it.", load: "The plan could not be opened.",
      findings: "Findings, the worst first", none: "Nothing was found.", fatal: "Fatal", weak: "Weak", note: "Note", page: "The plan in the workshop, with every fault",
    },
    de: {
      title: "Was jeder einzelne Fehler anrichtet", ask: "Plan prüfen", plan: "Plan: sein Link oder sein JSON", unreadablePlan: "Das ist kein Plan: Füge sein JSON ein oder einen Link mit plan= darin.", load: "Der Plan ließ sich nicht öffnen.",
      findings: "Befunde, der schlimmste zuerst", none: "Nichts gefunden.", fatal: "Tödlich", weak: "Schwach", note: "Hinweis", page: "Der Plan in der Werkstatt, mit jedem Fehler",
    },
    es: {
      title: "Qué hace cada fallo por separado", ask: "Examinar el plan", plan: "Plan: su enlace o su JSON", unreadablePlan: "Esto no es un plan: pega su JSON o un enlace con plan=.", load: "No se pudo abrir el plan.",
      findings: "Hallazgos, el peor primero", none: "No se ha hallado nada.", fatal: "Mortal", weak: "Débil", note: "Nota", page: "El plan en el taller, con cada fallo",
    },
  };

  static get observedAttributes() {
    return [...super.observedAttributes, "src"];
  }

  #plan = new PlanField({ name: "plan", required: true });
  #open = false;

  ownProperties() {
    return ["plan", "src"];
  }

  connectedCallback() {
    const inside = this.querySelector(':scope > script[type="application/json"]');
    if (inside && this.#plan.value === undefined && !Object.hasOwn(this, "plan")) this.#plan.type(inside.textContent);
    super.connectedCallback();
    if (this.src) this.#load();
  }

  attributeChangedCallback(name, before, now) {
    super.attributeChangedCallback(name, before, now);
    if (name === "src" && before !== now && this.isConnected && now) this.#load();
  }

  /** The plan, as in the contract; null where there is none or it cannot be read. */
  get plan() {
    return this.#plan.value ?? null;
  }

  set plan(v) {
    this.#plan.value = v ?? undefined;
    this.changed();
    this.draw();
  }

  /** The address of a plan, or a link that carries one. */
  get src() {
    return this.getAttribute("src") ?? "";
  }

  set src(v) {
    if (v) this.setAttribute("src", v);
    else this.removeAttribute("src");
  }

  async #load() {
    const { src } = this;
    let plan;
    try {
      const address = new URL(src, document.baseURI);
      const carried = address.searchParams.get("plan");
      plan = carried ? await this.#carried(carried) : await fetchPlan(address);
    } catch {
      if (src === this.src) this.complain(this.words.load, [src]);
      return;
    }
    if (src !== this.src) return; // another was set meanwhile
    this.plan = plan;
    if (this.hasAttribute("autorun")) this.ask();
  }

  /** The plan that a link carries, opened by the service. */
  #carried(packed) {
    return fetchPlan(`${this.client().base}/plan/file?plan=${encodeURIComponent(packed)}`);
  }

  async readFor(field) {
    try {
      return [await this.#carried(field.waiting)];
    } catch (error) {
      if (error instanceof TypeError) throw error; // the service is away
      return [null, this.words.load];
    }
  }

  get request() {
    return this.plan;
  }

  restore(plan) {
    this.plan = plan;
  }

  questions() {
    return [this.#plan];
  }

  /** The whole plan is one field: what is wrong in it is said with its place. */
  fieldAt() {
    return undefined;
  }

  reveal() {
    this.#open = true;
    this.draw();
  }

  drawBody(context) {
    const { words } = context;
    const name = this.plan?.name;
    this.#plan.label = words.plan;
    return [
      typeof name === "string" && h("p", { part: "plan" }, h("b", {}, name)),
      h("details", { open: this.#open || !this.plan }, h("summary", { onclick: (event) => (this.#open = !event.target.parentNode.open) }, words.plan), this.#plan.draw(context)),
    ].filter(Boolean);
  }

  /** The workshop with this plan, which the answer's own address carries. */
  page(request, location) {
    const plan = new URLSearchParams(location?.split("?")[1]).get("plan");
    return plan && `/plan/?${this.spoken(new URLSearchParams({ plan }))}`;
  }

  parts({ findings }, words) {
    const rank = ["fatal", "weak", "note"];
    const worst = [...findings].sort((a, b) => rank.indexOf(a.severity) - rank.indexOf(b.severity)).slice(0, most);
    return [
      h("p", {}, h("b", {}, worst.length > 0 ? words.findings : words.none)),
      worst.length > 0 && h("ol", { class: "findings" }, worst.map((f) => h("li", {}, h("b", { class: f.severity }, `${words[f.severity] ?? f.severity}. `), f.message, f.change && h("p", { class: "quiet" }, f.change)))),
    ].filter(Boolean);
  }
}

async function fetchPlan(address) {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${response.status}`);
  return response.json();
}

PlanAudit.define("saltwright-audit");
