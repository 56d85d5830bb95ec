/** The unloading view's lower part: what the record says, the next firing, photos, and what is told in words. */

// What the sections name in their turn, named here too, so that all is asked for at once.
import "../plans/drawing.js";
import "../plans/explained.js";
import "../plans/saying.js";
import "../plans/words.js";
import "./saying.js";
import "./sending.js";
import "./shrink.js";
import { nextSection } from "./next.js";
import { photoSection } from "./photos.js";
import { toldSection } from "./told.js";
import { tracedSection } from "./traced.js";

/**
 * @param {import("./asking.js").Unloading} found
 * @param {import("./looked.js").Looked} looked
 * @param {import("../../types.js").Context} context
 * @returns {HTMLElement[]}
 */
export function sections(found, looked, context) {
  return [
    tracedSection(found, looked, context), nextSection(found, looked, context), photoSection(found, context), toldSection(found),
  ];
}
