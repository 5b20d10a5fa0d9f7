import { h, s } from "./dom.js";
import { grid } from "./table.js";

// Draws the charts of an answer (include=charts), whose texts and units are the reader's already. Names stand in a key
// above, where they cannot collide; only ticks and moments stand in the drawing.

const width = 340;
const high = 190;
const letter = 7.5; // a letter's width, generously
const dashes = { dashed: "7 5" };
const looks = [[2.4], [1.2], [2.2, "1.5 4"], [1.6, "10 3 2 3"]];
const ink = { stroke: "currentColor", fill: "none" };

const hatch = (x, y, w, tall) => {
  let d = "";
  for (let at = x - tall + 7; at < x + w; at += 7) {
    const cut = Math.max(0, x - at);
    d += `M${at + cut} ${y + tall - cut}L${Math.min(at + tall, x + w)} ${Math.max(y, y + at + tall - x - w)}`;
  }
  return s("path", { d, ...ink, "stroke-opacity": 0.4 });
};

const shade = (kind, x, y, w, tall) =>
  kind === "harm" ? hatch(x, y, w, tall) : s("rect", { x, y, width: w, height: tall, fill: "currentColor", "fill-opacity": 0.1 });

const stroke = (drawn, i, d) => s("path", { d, ...ink, class: i ? "" : "first", "stroke-width": looks[i % 4][0], "stroke-dasharray": dashes[drawn] ?? looks[i % 4][1] });

const bar = (i, x, y, w, tall) => s("rect", { x, y, width: Math.max(w, 1), height: Math.max(tall, 1), class: i ? "" : "first", stroke: "currentColor", fill: "currentColor", "fill-opacity": [0.65, 0, 0.25, 0.9][i % 4] });

const key = (name, ...drawn) => h("li", {}, s("svg", { viewBox: "0 0 26 12", "aria-hidden": "true" }, drawn), name);

const text = (x, y, anchor, said) => s("text", { x, y, "text-anchor": anchor, "font-size": 13, fill: "currentColor" }, said);

/** Rows above the drawing for names at places, so that none touches another. */
export function rowsOf(names, places) {
  const ends = [];
  return names.map((name, i) => {
    const half = (name.length * letter) / 2 + 3;
    const middle = Math.min(Math.max(places[i], half), width - half);
    let row = 0;
    while (ends.some((e) => e.row === row && middle - half < e.to && e.from < middle + half)) row++;
    ends.push({ row, from: middle - half, to: middle + half });
    return { middle, row };
  });
}

function drawing(c) {
  const lies = c.y.kind === "names";
  const left = 12 + Math.max(0, ...c.y.ticks.map((t) => t.text.length)) * letter;
  const right = width - 16;
  const x = (v) => left + ((v - c.x.min) / (c.x.max - c.x.min)) * (right - left);
  const marked = rowsOf(c.marks.map((m) => m.name), c.marks.map((m) => x(m.x)));
  const top = 10 + 18 * (1 + Math.max(-1, ...marked.map((m) => m.row)));
  const bottom = top + (lies ? 30 * c.y.ticks.length : high);
  const y = (v) => (lies ? top + ((v - c.y.min) / (c.y.max - c.y.min)) * (bottom - top) : bottom - ((v - c.y.min) / (c.y.max - c.y.min)) * (bottom - top));
  const clamp = (v, axis) => Math.min(Math.max(v, axis.min), axis.max);
  const line = (x0, y0, x1, y1, more) => s("path", { d: `M${x0} ${y0}L${x1} ${y1}`, ...ink, ...more });
  const barred = c.series.filter((one) => one.drawn === "bars");
  const thick = (lies ? 30 : (right - left) / Math.max(1, c.x.ticks.length)) * (0.7 / Math.max(1, barred.length));
  const points = (one, i) => {
    if (one.drawn === "bars") {
      const shift = (barred.indexOf(one) - barred.length / 2) * thick;
      return one.points.map((p) => {
        const from = p.from ?? clamp(0, lies ? c.x : c.y);
        if (!lies) return bar(i, x(p.x) + shift, y(Math.max(from, p.y)), thick, Math.abs(y(p.y) - y(from)));
        return bar(i, x(Math.min(from, p.x)), y(p.y) + shift, Math.abs(x(p.x) - x(from)), thick);
      });
    }
    if (one.drawn === "dots") return one.points.map((p) => s("circle", { cx: x(p.x), cy: y(p.y), r: 3.5, ...ink, "stroke-width": 1.8 }));
    return stroke(one.drawn, i, one.points.map((p, n) => (n === 0 ? `M${x(p.x)} ${y(p.y)}` : one.drawn === "step" ? `H${x(p.x)}V${y(p.y)}` : `L${x(p.x)} ${y(p.y)}`)).join(""));
  };
  let free = -Infinity; // where the next name under the drawing may begin
  const under = c.x.ticks.map((t) => {
    const half = (t.text.length * letter) / 2;
    if (x(t.at) - half < free) return "";
    free = x(t.at) + half + 4;
    return text(x(t.at), bottom + 17, "middle", t.text);
  });
  return s(
    "svg",
    { viewBox: `0 0 ${width} ${bottom + 24}`, role: "img", "aria-label": `${c.title} ${c.sentence}` },
    c.bands.map((b) => shade(b.kind, left, y(b.to), right - left, y(b.from) - y(b.to))),
    c.y.ticks.map((t) => [lies || line(left, y(t.at), right, y(t.at), { "stroke-opacity": 0.2 }), text(left - 6, y(t.at) + 4, "end", t.text)]),
    line(left, bottom, right, bottom),
    under,
    c.marks.map((m, i) => [line(x(m.x), top - 7 - 18 * marked[i].row, x(m.x), bottom, { "stroke-dasharray": "2 3" }), text(marked[i].middle, top - 10 - 18 * marked[i].row, "middle", m.name)]),
    c.series.map(points),
    c.spans.map((one) => s("path", { d: `M${x(one.from)} ${y(one.y) - 5}v10m0 -5H${x(one.to)}m0 -5v10`, ...ink, "stroke-width": 3 })),
  );
}

const named = (axis) => [axis.label, axis.unit].filter(Boolean).join(", ");

/** Charts of an answer as figures: title, key, drawing, sentence and, folded under that word, the same as a table. */
export const charts = (list, folded) =>
  list.map((c) =>
    h(
      "figure",
      { part: "chart" },
      h("figcaption", {}, h("b", {}, c.title)),
      h(
        "ul",
        { class: "key" },
        c.series.map((one, i) => key(one.name, one.drawn === "bars" ? bar(i, 0, 2, 25, 8) : one.drawn === "dots" ? s("circle", { cx: 13, cy: 6, r: 3.5, ...ink }) : stroke(one.drawn, i, "M0 6H26"))),
        c.bands.filter((b, i) => c.bands.findIndex((o) => o.name === b.name) === i).map((b) => key(b.name, shade(b.kind, 0, 1, 26, 10))),
        c.spans.map((one) => key(one.name, s("path", { d: "M2 1v10m0 -5H24m0 -5v10", ...ink, "stroke-width": 3 }))),
      ),
      named(c.y) && h("p", { class: "quiet" }, named(c.y)),
      drawing(c),
      named(c.x) && h("p", { class: "quiet end" }, named(c.x)),
      h("p", {}, c.sentence),
      h("details", {}, h("summary", {}, folded), grid(c.title, c.table.columns, c.table.rows.map((r) => r.cells))),
    ),
  );

export const chartStyle = `
figure{margin:1rem 0;max-width:26rem}figure p{margin:0;font-size:.9rem}figure .end{text-align:end}
.key{display:flex;flex-wrap:wrap;gap:0 1rem;list-style:none;padding:0;font-size:.9rem}.key li{display:flex;gap:.4rem;align-items:center}.key svg{width:26px}
.first{color:var(--_accent)}`;
