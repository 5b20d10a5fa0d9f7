const svgNamespace = "http://www.w3.org/2000/svg";

const build = (node, attributes, children) => {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value === true ? "" : String(value));
  }
  node.append(...children.flat(Infinity).filter((c) => c !== undefined && c !== null && c !== false));
  return node;
};

/** An HTML element: attributes by name, listeners as on<event>, children as nodes or text. Never parses markup. */
export const h = (tag, attributes, ...children) => build(document.createElement(tag), attributes, children);

/** The same for SVG. */
export const s = (tag, attributes, ...children) => build(document.createElementNS(svgNamespace, tag), attributes, children);
