/**
 * The view of firing plans: the list, one plan explained, or a copy of it being edited, as the
 * address says: `#/plans`, `#/plans/<id>`, `#/plans/<id>?edit=1`.
 */

import { style } from "../styles.js";

/**
 * @param {HTMLElement} root
 * @param {import("../types.js").Context} context
 */
export async function mount(root, context) {
  await Promise.all([style("static/views/plans/plans.css"), show(root, context)]);
}

/** @param {HTMLElement} root @param {import("../types.js").Context} context */
async function show(root, context) {
  const { place, signal } = context;
  const part = place.name === null ? (await import("./plans/list.js")).list
    : place.query.has("edit") ? (await import("./plans/editor.js")).editor : (await import("./plans/shown.js")).shown;
  if (!signal.aborted) await part(root, context);
}
