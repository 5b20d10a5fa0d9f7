import { h } from "./dom.js";

/** A table of two columns: what, how much. Lines without a text are left out. */
export const facts = (caption, lines) =>
  h("table", { part: "table" }, h("caption", {}, caption), h("tbody", {}, lines.filter((line) => line && line[1] !== undefined).map(([what, much]) => h("tr", {}, h("th", { scope: "row" }, what), h("td", {}, much)))));

/** A table with a heading for every column, in a frame that scrolls by itself on a narrow page. */
export const grid = (caption, columns, lines) =>
  h(
    "div",
    { class: "wide", tabindex: "0", role: "group", "aria-label": caption },
    h(
      "table",
      { part: "table" },
      h("caption", {}, caption),
      h("thead", {}, h("tr", {}, columns.map((c) => h("th", { scope: "col" }, c)))),
      h("tbody", {}, lines.map(([first, ...rest]) => h("tr", {}, h("th", { scope: "row" }, first), rest.map((cell) => h("td", {}, cell))))),
    ),
  );
