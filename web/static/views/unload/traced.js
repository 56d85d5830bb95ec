/** What the record says of each defect that is ticked: the server's sentences, under our headings. */

import { make, say } from "../../dom.js";
import { language } from "../../settings.js";
import { tight } from "../../units.js";
import { words } from "./words.js";

/** @typedef {import("./asking.js").Cause} Cause */

/** The server's sentences are English: a page in another language says so. */
export const ENGLISH = /** @type {Record<string, string>} */ (language === "en" ? {} : { lang: "en" });

/**
 * @param {import("./asking.js").Unloading} _
 * @param {import("./looked.js").Looked} looked
 */
export function tracedSection(_, looked) {
  const status = make("p", { class: "unload-status", role: "status" }, words.working);
  const again = make("button", { type: "button", class: "small", hidden: true }, words.again);
  const body = make("div", { class: "traced-list" });
  again.addEventListener("click", () => looked.look());
  looked.listen({
    onLooking() {
      again.hidden = true;
      body.classList.add("unload-past");
      say(status, words.working);
    },
    onFailed(why) {
      again.hidden = false;
      say(status, why);
    },
    onTraced(traced) {
      body.classList.remove("unload-past");
      say(status, !traced.is_whole ? words.traced.cold : traced.defects.length ? "" : words.traced.nothing);
      const open = new Set([...body.querySelectorAll("details[open]")].map((one) => one.id));
      body.replaceChildren(...traced.defects.map(defect),
        ...(traced.defects.length ? [make("p", { class: "small-print" }, words.traced.proof)] : []));
      for (const one of body.querySelectorAll("details")) one.open = open.has(one.id);
    },
  });
  return make("section", { id: "unload-traced", class: "panel", "aria-labelledby": "traced-heading" },
    make("h2", { id: "traced-heading", tabindex: "-1" }, words.traced.heading), status, again, body);
}

/** @param {import("./asking.js").Traced} traced */
function defect({ key, title, causes, outside }) {
  const supported = causes.filter(({ verdict }) => verdict === "supported");
  const name = words.defects[key] ?? title;
  return make("article", { class: "traced", "aria-labelledby": `traced-${key}` },
    make("h3", { id: `traced-${key}` }, name),
    supported.length
      ? make("div", {}, make("h4", {}, words.traced.supported), make("ul", {}, ...supported.map((one) => cause(one, true))))
      : make("p", { class: "traced-none" }, words.traced.noneSupported),
    folded(`traced-${key}-unknown`, words.traced.unknown, causes.filter(({ verdict }) => verdict === "unknown").map((one) => cause(one, false))),
    folded(`traced-${key}-against`, words.traced.ruledOut, causes.filter(({ verdict }) => verdict === "ruled_out").map((one) => cause(one, false))),
    folded(`traced-${key}-outside`, words.traced.outside, outside.map((one) =>
      make("li", ENGLISH, sentence(one.cause), source(one.source)))));
}

/** @param {Cause} one @param {boolean} isSupported */
function cause({ cause: text, said, next_time: nextTime, source: by }, isSupported) {
  return make("li", ENGLISH,
    make("strong", {}, sentence(text)), ` ${tight(said)}`,
    isSupported ? make("p", { class: "traced-next" }, make("span", language === "en" ? {} : { lang: language }, words.traced.nextTime), `${tight(nextTime)}.`) : null,
    source(by));
}

/** @param {string} text a clause */
function sentence(text) {
  return `${text[0].toUpperCase()}${tight(text.slice(1))}.`;
}

/** @param {string} by */
function source(by) {
  return make("p", { class: "traced-source" }, by);
}

/** @param {string} id @param {string} heading @param {HTMLElement[]} items */
function folded(id, heading, items) {
  if (!items.length) return null;
  return make("details", { class: "more", id }, make("summary", {}, `${heading}: ${words.traced.more(items.length)}`), make("ul", {}, ...items));
}
