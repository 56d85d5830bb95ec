/**
 * The view of firings played once more: the list of them, or one, as the address says: `#/replay`,
 * `#/replay/<id>`. Nothing in it is happening; the strip above goes on telling of the kiln of now.
 */

import { style } from "../styles.js";
import { list } from "./replay/list.js";
import { player } from "./replay/player.js";

/**
 * @param {HTMLElement} root
 * @param {import("../types.js").Context} context
 */
export async function mount(root, context) {
  await style("static/views/replay/replay.css");
  await (context.place.name === null ? list(root, context) : player(root, context));
}
