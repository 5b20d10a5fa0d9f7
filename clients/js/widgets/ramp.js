import { h, s } from "./dom.js";
import { ClockField, NumberField } from "./field.js";

const day = 1440; // min
const height = 210;
const inset = { left: 34, right: 14, top: 14, bottom: 26 };

export const minutesOf = (clock) => (/^\d\d:\d\d$/.test(clock ?? "") ? Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3)) : NaN);
export const clockOf = (minutes) => `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;

/** A corner of a programme: a time of day and a level, as two fields. */
export class Corner {
  static #made = 0;

  constructor(at, percent, rule) {
    const id = `corner-${++Corner.#made}`;
    this.at = new ClockField({ name: "at", required: true }, `${id}-at`);
    this.percent = new NumberField({ name: "percent", kind: "percent", ...rule }, `${id}-percent`);
    this.at.value = at;
    this.percent.value = percent;
    this.id = id;
  }

  get fields() {
    return [this.at, this.percent];
  }

  get minutes() {
    return minutesOf(this.at.value);
  }

  get level() {
    return Number.isFinite(this.percent.value) ? this.percent.value : NaN;
  }

  move(minutes, level) {
    this.at.value = clockOf(minutes);
    this.percent.value = level;
  }
}

/**
 * Draws a day's programme and lets its corners be dragged, or moved by keys: left and right by 15 minutes, up and down
 * by 5 per cent, with Shift by 1; Home and End to dark and full; Delete takes a corner away. A corner stays between its
 * neighbours. The table beside it holds the same numbers.
 */
export class Ramp {
  #handles = [];
  #width = 560;

  /** moved(corner, done): a corner was moved by hand; remove(corner) and add(minutes, level): as they say. */
  constructor({ moved, remove, add }) {
    Object.assign(this, { moved, remove, add });
    this.svg = s("svg", { part: "ramp", role: "group", height });
    this.svg.addEventListener("dblclick", (event) => {
      if (event.target.closest("[role=slider]") || this.readonly) return;
      this.add(...this.#place(event));
    });
    this.frame = h("div", { class: "ramp" }, this.svg);
    new ResizeObserver(([{ contentRect }]) => {
      if (contentRect.width < 1 || Math.abs(contentRect.width - this.#width) < 1) return;
      this.#width = contentRect.width;
      if (this.corners) this.draw(this.corners, this.others, this.context);
    }).observe(this.frame);
  }

  #x(minutes) {
    return inset.left + (minutes / day) * (this.#width - inset.left - inset.right);
  }

  #y(level) {
    return height - inset.bottom - (level / 100) * (height - inset.top - inset.bottom);
  }

  #place({ clientX, clientY }) {
    const box = this.svg.getBoundingClientRect();
    const minutes = ((clientX - box.left - inset.left) / (this.#width - inset.left - inset.right)) * day;
    const level = ((height - inset.bottom - (clientY - box.top)) / (height - inset.top - inset.bottom)) * 100;
    return [Math.round(Math.min(Math.max(minutes, 0), day - 1) / 5) * 5, Math.round(Math.min(Math.max(level, 0), 100))];
  }

  /** The line through corners, round midnight. */
  #line(corners) {
    const good = corners.filter((c) => c.minutes >= 0 && c.level >= 0);
    if (good.length === 0) return "";
    const [first, last] = [good[0], good[good.length - 1]];
    const gap = first.minutes + day - last.minutes;
    const midnight = gap > 0 ? last.level + ((first.level - last.level) * (day - last.minutes)) / gap : first.level;
    return [[0, midnight], ...good.map((c) => [c.minutes, c.level]), [day, midnight]].map(([t, v]) => `${this.#x(t).toFixed(1)},${this.#y(v).toFixed(1)}`).join(" ");
  }

  /** Draws corners to be moved, and the lines of other channels behind them. */
  draw(corners, others, context) {
    Object.assign(this, { corners, others, context, readonly: context.readonly });
    const { words, lang } = context;
    const hours = this.#width < 420 ? 6 : 3;
    const hour = new Intl.NumberFormat(lang, { minimumIntegerDigits: 2 });
    const lines = [];
    for (let t = 0; t <= 24; t += hours)
      lines.push(s("line", { class: "rule", x1: this.#x(t * 60), x2: this.#x(t * 60), y1: this.#y(0), y2: this.#y(100) }), s("text", { x: this.#x(t * 60), y: height - 8, "text-anchor": "middle" }, hour.format(t)));
    for (const v of [0, 50, 100]) lines.push(s("line", { class: "rule", x1: this.#x(0), x2: this.#x(day), y1: this.#y(v), y2: this.#y(v) }), s("text", { x: inset.left - 6, y: this.#y(v) + 4, "text-anchor": "end" }, String(v)));
    this.curve = s("polyline", { class: "curve", points: this.#line(corners) });
    this.#handles = corners.map((corner, i) => this.#handle(corner, i));
    this.svg.setAttribute("viewBox", `0 0 ${this.#width} ${height}`);
    this.svg.setAttribute("aria-label", words.rampLabel);
    this.svg.replaceChildren(s("g", { "aria-hidden": "true" }, lines, others.map((one) => s("polyline", { class: "other", points: this.#line(one) })), this.curve), ...this.#handles);
    for (const i of corners.keys()) this.#settle(i);
    return this.frame;
  }

  #handle(corner, i) {
    const handle = s("g", { role: "slider", id: corner.id, part: "corner", tabindex: this.readonly ? undefined : "0", "aria-valuemin": 0, "aria-valuemax": 100, "aria-orientation": "vertical", "aria-disabled": this.readonly ? "true" : undefined }, s("circle", { class: "reach", r: 16 }), s("circle", { class: "dot", r: 7 }));
    if (this.readonly) return handle;
    handle.addEventListener("keydown", (event) => this.#key(event, corner, i));
    handle.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      handle.focus();
      handle.setPointerCapture(event.pointerId);
    });
    handle.addEventListener("pointermove", (event) => {
      if (handle.hasPointerCapture(event.pointerId)) this.#move(i, ...this.#place(event), false);
    });
    handle.addEventListener("lostpointercapture", () => this.moved(corner, true));
    return handle;
  }

  #key(event, corner, i) {
    const [dt, dv] = event.shiftKey ? [1, 1] : [15, 5];
    const { minutes, level } = corner;
    const to = {
      ArrowLeft: [minutes - dt, level], ArrowRight: [minutes + dt, level], ArrowUp: [minutes, level + dv], ArrowDown: [minutes, level - dv],
      PageUp: [minutes, level + 25], PageDown: [minutes, level - 25], Home: [minutes, 0], End: [minutes, 100],
    }[event.key];
    if (to) this.#move(i, ...to, true);
    else if (event.key === "Delete" || event.key === "Backspace") this.remove(corner);
    else return;
    event.preventDefault();
  }

  #move(i, minutes, level, done) {
    const corner = this.corners[i];
    const low = this.corners[i - 1]?.minutes ?? 0;
    const high = this.corners[i + 1]?.minutes ?? day - 1;
    const t = Math.min(Math.max(Number.isFinite(minutes) ? Math.round(minutes) : 720, low || 0), high >= 0 ? high : day - 1);
    const v = Math.min(Math.max(Number.isFinite(level) ? Math.round(level) : 0, 0), 100);
    corner.move(t, v);
    this.#settle(i);
    this.curve.setAttribute("points", this.#line(this.corners));
    this.moved(corner, done);
  }

  /** The corners' numbers have changed elsewhere. */
  follow() {
    for (const i of this.corners.keys()) this.#settle(i);
    this.curve.setAttribute("points", this.#line(this.corners));
  }

  /** Puts a handle where its corner is, and says so. */
  #settle(i) {
    const corner = this.corners[i];
    const handle = this.#handles[i];
    const { words } = this.context;
    const known = corner.minutes >= 0 && corner.level >= 0;
    handle.setAttribute("visibility", known ? "visible" : "hidden");
    if (!known) return;
    handle.setAttribute("transform", `translate(${this.#x(corner.minutes).toFixed(1)} ${this.#y(corner.level).toFixed(1)})`);
    handle.setAttribute("aria-label", words.corner(i + 1));
    handle.setAttribute("aria-valuenow", Math.round(corner.level));
    handle.setAttribute("aria-valuetext", `${corner.at.value}, ${Math.round(corner.level)} %`);
  }
}

export const rampCSS = `
.ramp{margin-block:.4rem}
.ramp text{fill:var(--_quiet);font-size:12px}
.rule{stroke:var(--_line);stroke-width:1}
.curve{fill:none;stroke:var(--_accent);stroke-width:3;stroke-linejoin:round}
.other{fill:none;stroke:var(--_edge);stroke-width:2;stroke-dasharray:6 4}
.reach{fill:transparent}
.dot{fill:var(--_paper);stroke:var(--_accent);stroke-width:3}
[role=slider]{cursor:grab;touch-action:none;outline:none}
[role=slider]:active{cursor:grabbing}
[role=slider]:focus-visible .dot{fill:var(--_accent);stroke:var(--_ink)}
[role=slider]:focus-visible .reach{stroke:var(--_accent);stroke-width:3}
.corners td .field,.corners th .field{max-width:9rem}
.corners .field label{position:absolute;inset-inline-start:-999rem}
.corners .hint{display:none}
`;
