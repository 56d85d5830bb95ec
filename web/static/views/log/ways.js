/** How one goes about in the log view: its two halves, and the way back from what was opened. */

import { make } from "../../dom.js";
import { addressOf } from "../../places.js";
import { words as logWords } from "./words.js";

/** @param {"firings" | "trends"} here */
export function halves(here) {
  /** @param {"firings" | "trends"} which @param {Record<string, string>} query */
  const half = (which, query) => make("a", {
    href: addressOf("log", null, query), class: "small", ...(which === here ? { "aria-current": "page" } : {}),
  }, logWords.halves[which]);
  return make("nav", { class: "log-halves", "aria-label": logWords.halves.label }, half("firings", {}), half("trends", { trends: "" }));
}

export function back() {
  return make("p", { class: "log-back" }, make("a", { href: addressOf("log") }, logWords.all));
}
