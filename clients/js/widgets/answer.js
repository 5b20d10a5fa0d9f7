import { Caller, ProblemError } from "../src/caller.js";
import { h } from "./dom.js";
import { side } from "./quantity.js";

/** The members of a request as a page's address has them: numbers in the reader's units, as beside the page's labels. */
export function membersOf(fields, request, units) {
  const query = new URLSearchParams();
  for (const { name, kind } of fields) {
    const v = request[name];
    if (v !== undefined) query.set(name, kind && units === "us" ? Number(side(kind, units).show(v).toPrecision(9)) : v);
  }
  return query;
}

const list = (kind, texts) => h(kind, {}, texts.map((one) => h("li", {}, one)));

/** What follows the verdict: figures, why, the picture, what to do, what a kind of widget adds, notes and cautions. */
export function shown(answer, link, words, charts, parts) {
  const { headline, summary, key_figures: figures = [], actions = [], warnings = [], cautions = [], model } = answer;
  const why = summary.startsWith(headline) ? summary.slice(headline.length).trim() : summary;
  return [
    h("dl", { class: "figures", part: "figures" }, figures.map((f) => h("div", {}, h("dt", {}, f.label), h("dd", {}, f.text)))),
    why && h("p", { part: "summary" }, why),
    ...charts,
    actions.length > 0 && h("div", { part: "actions" }, h("p", {}, h("b", {}, words.todo)), list("ol", actions)),
    ...parts,
    warnings.length > 0 && h("div", { class: "notes", part: "notes" }, h("p", {}, h("b", {}, words.notes)), list("ul", warnings.map((n) => n.message))),
    cautions.length > 0 && h("div", { class: "caution", part: "caution" }, h("p", {}, h("b", {}, words.cautions)), cautions.map((c) => h("p", {}, c.message))),
    link && h("p", {}, h("a", { href: link, part: "link" }, words.page)),
    h("p", { class: "quiet hint", part: "model" }, `${model.name} ${model.version}`),
  ].filter(Boolean);
}

/** Who asks the service at an address. */
export function callerOf(api) {
  const address = new URL(api, document.baseURI);
  if (!/^https?:$/.test(address.protocol)) throw new RangeError(`api="${api}" is no address of a service: it begins with https:// or http://`);
  return new Caller(address.href.replace(/\/+$/, ""), { tries: 2, longestWait: 5 });
}

/** What to say of a failure that no field is to blame for, and further lines. */
export function complaintOf(error, lines, words, api) {
  if (error instanceof ProblemError) {
    if (error.retryAfter > 0) return [words.busy(Math.ceil(error.retryAfter))];
    if (lines.length > 0) return [words.refused, lines];
    if (error.code) return [words.refused, [`${error.problem.title}. ${error.problem.detail}`]];
  }
  if (error?.name === "TimeoutError") return [words.late];
  if (error?.name === "TypeError" && URL.canParse(api, document.baseURI)) return [words.offline]; // fetch could not connect
  return [words.refused, [words.strange(api)]];
}
