/**
 * The view of firing plans: the list, one plan explained, or a copy of it being edited, as the
 * address says: `#/plans`, `#/plans/<id>`, `#/plans/<id>?edit=1`.
 */

import { style } from "../styles.js";
import { editor } from "./plans/editor.js";
import { list } from "./plans/list.js";
import { shown } from "./plans/shown.js";

/**
 * @param {HTMLElement} root
 * @param {import("../types.js").Context} context
 */
export async function mount(root, context) {
  await style("static/views/plans/plans.css");
  const { place } = context;
  if (place.name === null) await list(root, context);
  else if (place.query.has("edit")) await editor(root, context);
  else await shown(root, context);
}
