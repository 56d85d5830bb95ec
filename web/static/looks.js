/** How the channels look, in the chart and in lists. */

import { makeSvg } from "./dom.js";

/**
 * Over and over: `--channel-N` and `.swatch-N` of the style sheet by place, and the dash here, in
 * CSS pixels.
 */
export const DASHES = [[], [7, 4], [2, 3], [12, 4, 2, 4], [4, 2], [1, 5]];

/** The line that stands for a channel. @param {number} index */
export function swatch(index) {
  const place = index % DASHES.length;
  return makeSvg("svg", { class: `swatch swatch-${place}`, viewBox: "0 0 28 8", "aria-hidden": "true" },
    makeSvg("line", { x1: "1", x2: "27", y1: "4", y2: "4", "stroke-dasharray": DASHES[place].join(" ") }));
}
