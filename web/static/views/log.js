/**
 * The view of past firings, by its address: the list `#/log`, one of them `#/log/<id>`, some of them
 * compared `#/log?compare=<id>,<id>`, a kiln followed over its firings `#/log?trends`.
 */

import { style } from "../styles.js";

/**
 * @param {HTMLElement} root
 * @param {import("../types.js").Context} context
 */
export async function mount(root, context) {
  await Promise.all([style("static/views/log/log.css"), show(root, context)]);
}

/** @param {HTMLElement} root @param {import("../types.js").Context} context */
async function show(root, context) {
  const { place, signal } = context;
  const part = await (place.name !== null ? import("./log/one.js")
    : place.query.has("compare") ? import("./log/compare.js")
    : place.query.has("trends") ? import("./log/trends.js") : import("./log/list.js"));
  if (!signal.aborted) await part.show(root, context);
}
