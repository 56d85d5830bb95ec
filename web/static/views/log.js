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
  const { place } = context;
  const [part] = await Promise.all([
    place.name !== null ? import("./log/one.js")
    : place.query.has("compare") ? import("./log/compare.js")
    : place.query.has("trends") ? import("./log/trends.js") : import("./log/list.js"),
    style("static/views/log/log.css"),
  ]);
  if (!context.signal.aborted) await part.show(root, context);
}
