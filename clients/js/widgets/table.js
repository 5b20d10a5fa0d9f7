import { h } from "./dom.js";

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
