/**
 * The view of firings played once more: the list of them, or one, as the address says: `#/replay`,
 * `#/replay/<id>`. Nothing in it is happening; the strip above goes on telling of the kiln of now.
 */

import { style } from "../styles.js";

/**
 * @param {HTMLElement} root
 * @param {import("../types.js").Context} context
 */
export async function mount(root, context) {
  await Promise.all([style("static/views/replay/replay.css"), show(root, context)]);
}

/** @param {HTMLElement} root @param {import("../types.js").Context} context */
async function show(root, context) {
  const part = context.place.name === null ? (await import("./replay/list.js")).list : (await import("./replay/player.js")).player;
  if (!context.signal.aborted) await part(root, context);
}
