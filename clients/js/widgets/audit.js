import { charts, chartStyle, withCharts } from "./chart.js";
import { h, s } from "./dom.js";
import { DocumentField } from "./field.js";
import { Widget } from "./widget.js";

const views = ["lost", "harmed", "rescued", "held", "hidden", "all"];
const bar = { width: 180, height: 26 };

/**
 * <saltwright-audit>: what every single fault does to a plan. The plan comes as the property plan, as a script of type
 * application/json inside the element, from the address in src, or is pasted; an answer the page has already is shown by
 * setting the property answer.
 */
class PlanAudit extends Widget {
  static path = "/v1/plan-audit";
  static css = `${chartStyle}
textarea{min-height:10rem;font:.85rem/1.4 ui-monospace,monospace;color:inherit;background:var(--_field);border:1px solid var(--_edge);border-radius:.3rem;padding:.5rem;width:100%;resize:vertical}
.tally{display:flex;flex-wrap:wrap;gap:.5rem;list-style:none;padding:0}.tally li{border:1px solid var(--_line);border-radius:.3rem;padding:.3rem .8rem}
.tally b{font-size:1.3rem;margin-inline-end:.3rem}
.findings>li{margin-block:.6rem}
.lost b,.fatal{color:var(--_bad)}
.bar{width:180px;max-width:none}
.bar line{stroke:var(--_edge)}.bar .alarm{fill:var(--_accent)}.bar .act{fill:none;stroke:var(--_accent);stroke-width:2}.bar .harm{stroke:var(--_bad);stroke-width:3}
.key{display:flex;flex-wrap:wrap;gap:.2rem 1.2rem;align-items:center}.key span{display:inline-flex;gap:.4rem;align-items:center}.key svg{width:20px}
`;
  static words = {
    en: {
      title: "What each single fault does", ask: "Audit the plan", plan: "Plan, as JSON", load: "The plan could not be loaded.",
      gist: (r) => `Of ${r.faults_total} single faults ${r.held} are held, ${r.rescued} are rescued by an alarm, ${r.harmed} do harm or damage, ${r.lost} lose the tank.`,
      lost: "lost", harmed: "harmed", rescued: "rescued", held: "held", hidden: "hidden", all: "all", findings: "Findings", none: "Nothing was found.", show: "Faults to show", faults: "Faults",
      fault: "Fault", verdict: "Verdict", room: "Room", when: "Course", harm: "Harm", alarm: "alarm", act: "somebody acts", harmMark: "harm", empty: "There are none of these.",
      fatal: "Fatal", weak: "Weak", note: "Note", usual: "usual", coldest: "coldest", warmest: "warmest",
      overheated: "overheated", chilled: "chilled", diluted: "diluted", concentrated: "concentrated", flooded: "flooded", run_dry: "run dry", no_dark: "no darkness", no_light: "no light", airless: "airless", sump_hot: "sump hot", heater_dry: "heater dry", temperature_shock: "temperature jumped", salinity_shock: "salinity jumped",
      after: (what, t) => `${what} after ${t}`, key: "In the course, time runs to the right, early hours drawn wider:",
    },
    de: {
      caution: {
        caustic_powders: "Hydroxide und Carbonate verätzen Augen und Haut. Brille und Handschuhe tragen, Pulver langsam ins Wasser geben, nie Wasser aufs Pulver.",
        carbon_dioxide_in_rooms: "Kohlendioxid sammelt sich in geschlossenen Räumen: eine undichte Flasche kann töten. Fenster öffnen, Flaschen dorthin stellen, wo Luft zieht.",
        two_stock_solutions: "Mische nie die Lösung für Alkalinität mit der für Calcium: sie werden sofort fest.",
      },
      title: "Was jeder einzelne Fehler anrichtet", ask: "Plan prüfen", plan: "Plan, als JSON", load: "Der Plan konnte nicht geladen werden.",
      gist: (r) => `Von ${r.faults_total} einzelnen Fehlern werden ${r.held} gehalten, ${r.rescued} durch einen Alarm gerettet, ${r.harmed} schaden, ${r.lost} kosten das Becken.`,
      lost: "verloren", harmed: "geschädigt", rescued: "gerettet", held: "gehalten", hidden: "verborgen", all: "alle", findings: "Befunde", none: "Nichts gefunden.", show: "Gezeigte Fehler", faults: "Fehler",
      fault: "Fehler", verdict: "Urteil", room: "Raum", when: "Verlauf", harm: "Schaden", alarm: "Alarm", act: "jemand handelt", harmMark: "Schaden", empty: "Davon gibt es keine.",
      fatal: "Tödlich", weak: "Schwach", note: "Hinweis", usual: "gewöhnlich", coldest: "am kältesten", warmest: "am wärmsten",
      overheated: "überhitzt", chilled: "ausgekühlt", diluted: "verdünnt", concentrated: "aufkonzentriert", flooded: "übergelaufen", run_dry: "trockengelaufen", no_dark: "ohne Dunkelheit", no_light: "ohne Licht", airless: "ohne Sauerstoff", sump_hot: "Technikbecken heiß", heater_dry: "Heizer trocken", temperature_shock: "Temperatursprung", salinity_shock: "Salinitätssprung",
      after: (what, t) => `${what} nach ${t}`, key: "Im Verlauf läuft die Zeit nach rechts, frühe Stunden sind breiter:",
    },
    es: {
      caution: {
        caustic_powders: "Los hidróxidos y carbonatos queman los ojos y la piel. Usa gafas y guantes, y echa el polvo despacio al agua, nunca al revés.",
        carbon_dioxide_in_rooms: "El dióxido de carbono se acumula en habitaciones cerradas: una botella que pierde gas puede matar. Abre una ventana y guárdala donde corra el aire.",
        two_stock_solutions: "No mezcles nunca la solución de alcalinidad con la de calcio: se vuelven sólidas al instante.",
      },
      title: "Qué hace cada fallo por separado", ask: "Examinar el plan", plan: "Plan, como JSON", load: "No se pudo cargar el plan.",
      gist: (r) => `De ${r.faults_total} fallos por separado, ${r.held} se contienen, ${r.rescued} los salva una alarma, ${r.harmed} causan daño y ${r.lost} pierden el acuario.`,
      lost: "perdido", harmed: "dañado", rescued: "salvado", held: "contenido", hidden: "oculto", all: "todos", findings: "Hallazgos", none: "No se ha hallado nada.", show: "Fallos que se muestran", faults: "Fallos",
      fault: "Fallo", verdict: "Veredicto", room: "Habitación", when: "Curso", harm: "Daño", alarm: "alarma", act: "alguien actúa", harmMark: "daño", empty: "No hay ninguno.",
      fatal: "Mortal", weak: "Débil", note: "Nota", usual: "normal", coldest: "más fría", warmest: "más cálida",
      overheated: "sobrecalentado", chilled: "enfriado", diluted: "diluido", concentrated: "concentrado", flooded: "desbordado", run_dry: "en seco", no_dark: "sin oscuridad", no_light: "sin luz", airless: "sin oxígeno", sump_hot: "sumidero caliente", heater_dry: "calentador en seco", temperature_shock: "salto de temperatura", salinity_shock: "salto de salinidad",
      after: (what, t) => `${what} tras ${t}`, key: "En el curso, el tiempo va hacia la derecha; las primeras horas son más anchas:",
    },
  };

  static get observedAttributes() {
    return [...super.observedAttributes, "src"];
  }

  #plan = new DocumentField({ name: "plan", required: true });
  #view;
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

  /** The address of a plan. */
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
      const response = await fetch(new URL(src, document.baseURI));
      if (!response.ok) throw new Error(`${response.status} ${response.statusText}`);
      plan = await response.json();
    } catch (error) {
      if (src === this.src) this.complain(this.words.load, [String(error.message)]);
      return;
    }
    if (src !== this.src) return; // another was set meanwhile
    this.plan = plan;
    if (this.hasAttribute("autorun")) this.ask();
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

  gist(r, show) {
    return show.words.gist(r);
  }

  client() {
    return withCharts(super.client());
  }

  parts({ result: r, charts: drawn }, show) {
    const w = show.words;
    const english = show.lang === "en" ? undefined : "en";
    const counts = { lost: r.lost, harmed: r.harmed, rescued: r.rescued, held: r.held, hidden: r.hidden };
    const chosen = this.#view ?? (r.lost > 0 ? "lost" : r.harmed > 0 ? "harmed" : "rescued");
    const table = h("div", { class: "wide", tabindex: "0", role: "group", "aria-label": w.faults });
    const pick = h("select", { id: "view", part: "input", onchange: () => fill((this.#view = pick.value)) }, views.map((v) => h("option", { value: v }, v === "all" ? `${w.all} (${r.faults_total})` : `${w[v]} (${counts[v]})`)));
    pick.value = chosen;
    const fill = (view) => table.replaceChildren(this.#faults(r, view, show, english));
    fill(chosen);
    return [
      h("ul", { class: "tally" }, Object.entries(counts).map(([v, n]) => h("li", { class: (v === "lost" || v === "harmed") && n > 0 ? "lost" : undefined }, h("b", {}, String(n)), w[v]))),
      h("h3", {}, w.findings),
      r.findings.length === 0 ? h("p", {}, w.none) : h("ol", { class: "findings" }, r.findings.map((f) => h("li", {}, h("b", { class: f.severity }, `${w[f.severity] ?? f.severity}. `), h("span", { lang: english }, f.message), f.change && h("p", { class: "quiet", lang: english }, f.change)))),
      h("div", { class: "field" }, h("label", { for: "view", part: "label" }, w.show), pick),
      h("p", { class: "hint key" }, w.key, [["alarm", w.alarm], ["act", w.act], ["harm", w.harmMark]].map(([mark, text]) => h("span", {}, s("svg", { viewBox: "-10 -13 20 26", width: 20, height: bar.height, "aria-hidden": "true", class: "bar" }, marks[mark](0)), text))),
      table,
      ...charts(drawn, show.lang),
    ];
  }

  #faults(r, view, show, english) {
    const w = show.words;
    const rows = r.faults.filter((f) => view === "all" || (view === "hidden" ? f.hidden : f.verdict === view));
    if (rows.length === 0) return h("p", {}, w.empty);
    return h(
      "table",
      { part: "table" },
      h("caption", {}, w.faults),
      h("thead", {}, h("tr", {}, [w.fault, w.verdict, w.room, w.harm, w.when].map((c) => h("th", { scope: "col" }, c)))),
      h("tbody", {}, rows.map((f) =>
        h("tr", { class: (f.verdict === "lost" || f.verdict === "harmed") ? "lost" : undefined }, h("th", { scope: "row", lang: english }, f.sentence), h("td", {}, h("b", {}, w[f.verdict]), f.hidden && ` (${w.hidden})`), h("td", {}, w[f.room] ?? ""), h("td", {}, w[f.first_harm] ?? "–"), h("td", {}, this.#course(f, r.horizon_h, show))),
      )),
    );
  }

  /** Alarm, response and harm on one line; early hours are drawn wider. */
  #course(f, horizon, show) {
    const w = show.words;
    const x = (t) => 6 + (bar.width - 12) * (Math.log1p(Math.min(t, horizon)) / Math.log1p(horizon));
    const events = [["alarm", w.alarm, f.alarm?.raised_h], ["act", w.act, f.alarm?.act_h], ["harm", w.harmMark, f.harm_h]].filter(([, , t]) => t !== undefined && t <= horizon);
    if (events.length === 0) return "–";
    const said = events.map(([, what, t]) => w.after(what, show(t, "hours"))).join("; ");
    return [
      s("svg", { class: "bar", viewBox: `0 -13 ${bar.width} ${bar.height}`, width: bar.width, height: bar.height, "aria-hidden": "true" }, s("line", { x1: 0, x2: bar.width, y1: 0, y2: 0 }), events.map(([mark, , t]) => marks[mark](x(t)))),
      h("span", { class: "hint" }, said),
    ];
  }
}

// Told apart by shape: a triangle, an open square, a cross.
const marks = {
  alarm: (x) => s("path", { class: "alarm", d: `M${x - 6} 6L${x + 6} 6L${x} -6Z` }),
  act: (x) => s("rect", { class: "act", x: x - 5, y: -5, width: 10, height: 10 }),
  harm: (x) => s("path", { class: "harm", d: `M${x - 6} -6L${x + 6} 6M${x - 6} 6L${x + 6} -6` }),
};

PlanAudit.define("saltwright-audit");
