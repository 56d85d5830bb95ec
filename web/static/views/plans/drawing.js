/** A plan's drawing, sent as shapes. How each looks is the style sheet's business. */

import { makeSvg } from "../../dom.js";

/**
 * @param {import("./asking.js").Drawing} drawing
 * @param {string} name keeps its ids apart from another's, and is its class
 */
export function drawingOf({ width, height, title, description, shapes }, name) {
  const heading = makeSvg("title", { id: `${name}-title` });
  const inWords = makeSvg("desc", { id: `${name}-words` });
  heading.textContent = title;
  inWords.textContent = description;
  return makeSvg("svg", {
    class: name, viewBox: `0 0 ${width} ${height}`, role: "img", "aria-labelledby": `${name}-title ${name}-words`,
  }, heading, inWords, ...shapes.map(shapeOf));
}

/** @param {import("./asking.js").Shape} shape */
function shapeOf({ role, points, is_area: isArea, text, size, anchor, is_bold: isBold }) {
  if (text === null) return makeSvg(isArea ? "polygon" : "polyline", { class: role, points: points.join(" ") });
  const drawn = makeSvg("text", {
    class: role, x: String(points[0]), y: String(points[1]), "font-size": String(size),
    "text-anchor": anchor ?? "start", "font-weight": isBold ? "bold" : "normal",
  });
  drawn.textContent = text;
  return drawn;
}
