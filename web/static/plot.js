/**
 * The chart library, uPlot: fetched and run when the first chart is wanted, since that costs a phone
 * more than any of our own files.
 */

import { style } from "./styles.js";

const ADDRESS = "static/vendor/uPlot.iife.min.js";

/** @type {Promise<unknown> | null} */
let coming = null;
let hasFailed = false;

/** @returns {any} the library's class; undefined while it is on its way, null if it can't be had */
export function plotting() {
  return hasFailed ? null : /** @type {any} */ (globalThis).uPlot;
}

/** @returns {Promise<unknown>} fulfilled when the library is there or can't be had */
export function fetchPlotting() {
  coming ??= Promise.all([style("static/vendor/uPlot.min.css"), run()]);
  return coming;
}

/** @returns {Promise<void>} */
function run() {
  return new Promise((done) => {
    const script = document.createElement("script");
    script.src = ADDRESS;
    script.addEventListener("load", () => done());
    script.addEventListener("error", () => {
      hasFailed = true;
      done();
    });
    document.head.append(script);
  });
}
