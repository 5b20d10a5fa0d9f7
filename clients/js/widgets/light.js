import { LightChannel, LightScheduleScoreRequest, PlanPoint } from "./contract.gen.js";
import { h } from "./dom.js";
import { fieldsOf, NumberField } from "./field.js";
import { Corner, clockOf, minutesOf, Ramp, rampCSS } from "./ramp.js";
import { Widget } from "./widget.js";

const mostChannels = 16;
const mostCorners = 48;
const start = [["10:00", 0], ["11:00", 100], ["19:00", 100], ["20:00", 0]];

/** A lamp or colour: its corners, and what it gives and takes at full light. */
class Channel {
  static #made = 0;

  constructor(said = {}) {
    const id = `channel-${++Channel.#made}`;
    this.id = said.id ?? "";
    this.rest = { heat_share: said.heat_share };
    this.ppfd = new NumberField({ name: "peak_ppfd", kind: "photons", ...LightChannel.peak_ppfd }, `${id}-ppfd`);
    this.power = new NumberField({ name: "power_w", kind: "power", ...LightChannel.power_w }, `${id}-power`);
    this.ppfd.value = said.peak_ppfd;
    this.power.value = said.power_w;
    this.corners = cornersOf(said).map(([at, percent]) => new Corner(at, percent, PlanPoint.percent));
  }

  get fields() {
    return [...this.corners.flatMap((c) => c.fields), this.ppfd, this.power];
  }

  get request() {
    const optional = Object.fromEntries(Object.entries({ ...this.rest, peak_ppfd: this.ppfd.value, power_w: this.power.value }).filter(([, v]) => v !== undefined && v !== null));
    return { id: this.id, points: this.corners.map((c) => ({ at: c.at.value ?? "", percent: c.percent.value ?? null })), ...optional };
  }
}

/** The corners of a channel as the contract has it: points, or on and off with ramps. */
function cornersOf({ points, on_at, off_at, ramp_min = 0 }) {
  if (points?.length > 0) return points.map((p) => [p.at, p.percent]);
  const [on, off] = [minutesOf(on_at), minutesOf(off_at)];
  if (!(on >= 0 && off >= 0)) return start;
  const wrap = (t) => ((t % 1440) + 1440) % 1440;
  const turned = [[on, 0], [wrap(on + ramp_min), 100], [wrap(off - ramp_min), 100], [off, 0]];
  const first = turned.reduce((best, [t], i) => (t < turned[best][0] ? i : best), 0);
  return [...turned.slice(first), ...turned.slice(0, first)].map(([t, v]) => [clockOf(t), v]);
}

/** Gives the channels without an id one that is not taken. */
function named(channels) {
  const taken = new Set(channels.map((c) => c.id));
  for (const channel of channels) {
    for (let n = 1; channel.id === ""; n++) if (!taken.has(`lamp-${n}`)) channel.id = `lamp-${n}`;
    taken.add(channel.id);
  }
  return channels;
}

/** <saltwright-light>: draws a day of light, and scores it. Its property channels is as in the contract. */
class LightSchedule extends Widget {
  static calculator = "light-schedule-score";
  static fields = fieldsOf(LightScheduleScoreRequest, { livestock: undefined, moonlight_percent: "percent" });
  static css = rampCSS;
  static words = {
    en: {
      title: "A day of light", rampLabel: "Light over the day: per cent by hour", corner: (n) => `Corner ${n}`, corners: "Corners of the day", at: "Time", percent: "Level, %", remove: "Remove", removeCorner: (n) => `Remove corner ${n}`, add: "Add a corner",
      lamp: "Lamp", addLamp: "Add a lamp", removeLamp: "Remove this lamp", keys: "Drag a corner, or move it by the arrow keys, with Shift in small steps; Delete takes it away.",
      peak_ppfd: "PPFD at full light", power_w: "Power at full light", livestock: "Livestock", moonlight_percent: "Counts as dark up to",
      parts: "How the score comes about",
      choices: { fish_only: "fish only", soft_corals: "soft corals", mixed_reef: "mixed reef", stony_corals: "stony corals" },
    },
    de: {
      title: "Ein Tag Licht", rampLabel: "Licht über den Tag: Prozent je Stunde", corner: (n) => `Ecke ${n}`, corners: "Ecken des Tages", at: "Zeit", percent: "Stärke, %", remove: "Entfernen", removeCorner: (n) => `Ecke ${n} entfernen`, add: "Ecke hinzufügen",
      lamp: "Lampe", addLamp: "Lampe hinzufügen", removeLamp: "Diese Lampe entfernen", keys: "Eine Ecke ziehen oder mit den Pfeiltasten bewegen, mit der Umschalttaste in kleinen Schritten; Entf nimmt sie weg.",
      peak_ppfd: "PPFD bei vollem Licht", power_w: "Leistung bei vollem Licht", livestock: "Besatz", moonlight_percent: "Gilt als dunkel bis",
      parts: "Wie die Wertung entsteht",
      choices: { fish_only: "nur Fische", soft_corals: "Weichkorallen", mixed_reef: "gemischtes Riff", stony_corals: "Steinkorallen" },
    },
    es: {
      title: "Un día de luz", rampLabel: "Luz a lo largo del día: por ciento por hora", corner: (n) => `Vértice ${n}`, corners: "Vértices del día", at: "Hora", percent: "Nivel, %", remove: "Quitar", removeCorner: (n) => `Quitar el vértice ${n}`, add: "Añadir un vértice",
      lamp: "Lámpara", addLamp: "Añadir una lámpara", removeLamp: "Quitar esta lámpara", keys: "Arrastra un vértice o muévelo con las flechas, con Mayús en pasos pequeños; Supr lo quita.",
      peak_ppfd: "PPFD a plena luz", power_w: "Potencia a plena luz", livestock: "Población", moonlight_percent: "Cuenta como oscuro hasta",
      parts: "De dónde sale la puntuación",
      choices: { fish_only: "solo peces", soft_corals: "corales blandos", mixed_reef: "arrecife mixto", stony_corals: "corales pétreos" },
    },
  };

  #channels = named([new Channel()]);
  #at = 0; // the channel that is edited
  #ramp = new Ramp({
    moved: (corner, done) => {
      for (const field of corner.fields) field.control.value = field.text(this.units, this.language);
      if (done) this.changedByHand();
      else this.changed();
    },
    remove: (corner) => this.#remove(corner),
    add: (minutes, level) => this.#add(minutes, level),
  });

  ownProperties() {
    return ["channels"];
  }

  /** The lamps, as the contract has them. */
  get channels() {
    return this.#channels.map((c) => c.request);
  }

  set channels(list) {
    if (!Array.isArray(list) || list.length === 0 || list.length > mostChannels) throw new RangeError(`channels: 1 to ${mostChannels} of them`);
    this.#channels = named(list.map((one) => new Channel(one)));
    this.#at = 0;
    this.changed();
    this.draw();
  }

  get request() {
    return { channels: this.channels, ...super.request };
  }

  restore(request) {
    super.restore(request);
    this.channels = request.channels;
  }

  questions() {
    return [...this.#channels.flatMap((c) => c.fields), ...super.questions()];
  }

  reveal(field) {
    const at = this.#channels.findIndex((c) => c.fields.includes(field));
    if (at < 0) return;
    this.#at = at;
    if (this.#channels[at].corners.some((c) => c.fields.includes(field))) this.#open = true;
    this.draw();
  }

  fieldAt(pointer) {
    const [, channel, rest] = /^#?\/channels\/(\d+)\/(.*)$/.exec(pointer) ?? [];
    if (channel === undefined) return super.fieldAt(pointer);
    const one = this.#channels[channel];
    const [, corner, member] = /^points\/(\d+)(?:\/(at|percent))?$/.exec(rest) ?? [];
    if (corner !== undefined) return one?.corners[corner]?.[member ?? "at"];
    return one?.fields.find((f) => f.spec.name === rest);
  }

  typed(field) {
    super.typed(field);
    this.#ramp.follow();
  }

  #add(minutes, level) {
    const { corners } = this.#channels[this.#at];
    if (corners.length >= mostCorners) return;
    let i = corners.findIndex((c) => c.minutes > minutes);
    if (i < 0) i = corners.length;
    const corner = new Corner(clockOf(minutes), level, PlanPoint.percent);
    corners.splice(i, 0, corner);
    this.draw();
    this.changedByHand();
    this.shadowRoot.getElementById(corner.id)?.focus();
  }

  /** Adds a corner in the middle of the longest stretch without one. */
  #addAnywhere() {
    const { corners } = this.#channels[this.#at];
    const known = corners.filter((c) => c.minutes >= 0 && c.level >= 0);
    if (known.length === 0) return this.#add(720, 100);
    let best = { gap: -1 };
    known.forEach((c, i) => {
      const next = known[i + 1];
      if (next && next.minutes - c.minutes > best.gap) best = { gap: next.minutes - c.minutes, t: Math.round((c.minutes + next.minutes) / 2), v: Math.round((c.level + next.level) / 2) };
    });
    const last = known[known.length - 1];
    if (best.gap < 2) best = { t: Math.min(last.minutes + 60, 1439), v: last.level };
    this.#add(best.t, best.v);
  }

  #remove(corner) {
    const { corners } = this.#channels[this.#at];
    const i = corners.indexOf(corner);
    if (corners.length < 2 || i < 0) return;
    corners.splice(i, 1);
    this.draw();
    this.changedByHand();
    this.shadowRoot.getElementById(corners[Math.min(i, corners.length - 1)].id)?.focus();
  }

  #choose(at) {
    this.#at = at;
    this.draw();
  }

  drawUnits() {} // light is measured in the same units everywhere

  drawBody(context) {
    const { words, readonly } = context;
    const channel = this.#channels[this.#at];
    const others = this.#channels.filter((c) => c !== channel).map((c) => c.corners);
    const which = h("select", { id: "lamp", part: "input", onchange: () => this.#choose(which.selectedIndex) }, this.#channels.map((c) => h("option", {}, c.id)));
    which.selectedIndex = this.#at;
    const rows = channel.corners.map((corner, i) => {
      const name = words.corner(i + 1);
      corner.at.label = `${name}, ${words.at}`;
      corner.percent.label = `${name}, ${words.percent}`;
      const gone = h("button", { type: "button", class: "plain", part: "button", id: `${corner.id}-gone`, "aria-label": words.removeCorner(i + 1), disabled: readonly || channel.corners.length < 2, onclick: () => this.#remove(corner) }, words.remove);
      return h("tr", {}, h("td", {}, corner.at.draw(context)), h("td", {}, corner.percent.draw(context)), h("td", {}, gone));
    });
    return [
      h("div", { class: "fields" }, h("div", { class: "field" }, h("label", { for: "lamp", part: "label" }, words.lamp), which), this.drawField(channel.ppfd, words.peak_ppfd, context), this.drawField(channel.power, words.power_w, context)),
      this.#ramp.draw(channel.corners, others, context),
      h("p", { class: "hint", hidden: readonly }, words.keys),
      h(
        "details",
        { open: this.#open },
        h("summary", { onclick: (event) => (this.#open = !event.target.parentNode.open) }, words.corners),
        h("div", { class: "wide", tabindex: "0", role: "group", "aria-label": words.corners }, h("table", { class: "corners" }, h("thead", {}, h("tr", {}, [words.at, words.percent, words.remove].map((c) => h("th", { scope: "col" }, c)))), h("tbody", {}, rows))),
      ),
      h(
        "div",
        { class: "actions", hidden: readonly },
        h("button", { type: "button", class: "plain", part: "button", id: "add-corner", onclick: () => this.#addAnywhere() }, words.add),
        h("button", { type: "button", class: "plain", part: "button", id: "add-lamp", disabled: this.#channels.length >= mostChannels, onclick: () => this.#addLamp() }, words.addLamp),
        this.#channels.length > 1 && h("button", { type: "button", class: "plain", part: "button", id: "remove-lamp", onclick: () => this.#removeLamp() }, words.removeLamp),
      ),
      h("div", { class: "fields" }, [...this.fields.values()].map((f) => this.drawField(f, words[f.spec.name], context))),
    ];
  }

  #open = false;

  #addLamp() {
    this.#channels = named([...this.#channels, new Channel()]);
    this.#choose(this.#channels.length - 1);
    this.changedByHand();
  }

  #removeLamp() {
    this.#channels.splice(this.#at, 1);
    this.#choose(Math.max(0, this.#at - 1));
    this.changedByHand();
    this.shadowRoot.getElementById("lamp").focus();
  }

  pathOf(field) {
    for (const [i, channel] of this.#channels.entries()) {
      if (field === channel.ppfd || field === channel.power) return `channels/${i}/${field.spec.name}`;
      const j = channel.corners.findIndex((c) => c.percent === field);
      if (j >= 0) return `channels/${i}/points/${j}/percent`;
    }
    return super.pathOf(field);
  }

  /** The whole programme travels in the address, as long as that is one that every server takes. */
  page(request) {
    const query = this.spoken(new URLSearchParams({ body: JSON.stringify(request) }));
    const page = `/docs/calculators/${LightSchedule.calculator}/?${query}`;
    return page.length < 6000 ? page : "";
  }

  parts(r, words) {
    return [h("p", {}, h("b", {}, words.parts)), h("ul", {}, r.parts.map((one) => h("li", {}, `${Math.round(one.points)} / ${Math.round(one.possible)}: ${one.reason} ${one.raise ?? ""}`.trim())))];
  }
}

LightSchedule.define("saltwright-light");
