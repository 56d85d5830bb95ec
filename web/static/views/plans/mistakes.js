/** What does not fit in a plan, said beside where it stands. */

import { make } from "../../dom.js";

/**
 * Only when it differs, as `say` does; what is in another language is marked.
 * @param {Element} element
 * @param {import("./asking.js").Mistake[]} mistakes
 */
export function sayMistakes(element, mistakes) {
  if (element.textContent === mistakes.map(({ text }) => text).join(" ")) return;
  element.replaceChildren(...mistakes.flatMap(({ text, lang }, at) => [at ? " " : "", lang ? make("span", { lang }, text) : text]));
}
