/** What the record says of each defect that is ticked. */

import { make, say, sayWhy } from "../../dom.js";
import { causeSaid, outsideSaid, sourceSaid } from "./saying.js";
import { words } from "./words.js";

/** @typedef {import("./asking.js").Cause} Cause */
/** @typedef {import("../../types.js").Unit} Unit */
/** @typedef {import("../../saying.js").Said} Said */

/**
 * @param {import("./asking.js").Unloading} _
 * @param {import("./looked.js").Looked} looked
 * @param {import("../../types.js").Context} context
 */
export function tracedSection(_, looked, { live }) {
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
      sayWhy(status, why);
    },
    onTraced(traced) {
      body.classList.remove("unload-past");
      say(status, !traced.is_whole ? words.traced.cold : traced.defects.length ? "" : words.traced.nothing);
      const open = new Set([...body.querySelectorAll("details[open]")].map((one) => one.id));
      body.replaceChildren(...traced.defects.map((one) => defect(one, live.unit())),
        ...(traced.defects.length ? [make("p", { class: "small-print" }, words.traced.proof)] : []));
      for (const one of body.querySelectorAll("details")) one.open = open.has(one.id);
    },
  });
  return make("section", { id: "unload-traced", class: "panel", "aria-labelledby": "traced-heading" },
    make("h2", { id: "traced-heading", tabindex: "-1" }, words.traced.heading), status, again, body);
}

/** @param {import("./asking.js").Traced} traced @param {Unit} unit */
function defect({ key, title, causes, outside }, unit) {
  const supported = causes.filter(({ verdict }) => verdict === "supported");
  const name = words.defects[key] ?? title;
  return make("article", { class: "traced", "aria-labelledby": `traced-${key}` },
    make("h3", { id: `traced-${key}` }, name),
    supported.length
      ? make("div", {}, make("h4", {}, words.traced.supported), make("ul", {}, ...supported.map((one) => cause(one, true, unit))))
      : make("p", { class: "traced-none" }, words.traced.noneSupported),
    folded(`traced-${key}-unknown`, words.traced.unknown, causes.filter(({ verdict }) => verdict === "unknown").map((one) => cause(one, false, unit))),
    folded(`traced-${key}-against`, words.traced.ruledOut, causes.filter(({ verdict }) => verdict === "ruled_out").map((one) => cause(one, false, unit))),
    folded(`traced-${key}-outside`, words.traced.outside, outside.map((one) =>
      make("li", {}, piece("span", outsideSaid(one)), source(one.source)))));
}

/** @param {Cause} one @param {boolean} isSupported @param {Unit} unit */
function cause(one, isSupported, unit) {
  const { cause: text, said, nextTime } = causeSaid(one, unit);
  return make("li", {},
    piece("strong", text), " ", piece("span", said),
    isSupported ? make("p", { class: "traced-next" }, words.traced.nextTime, piece("span", nextTime)) : null,
    source(one.source));
}

/** A text, marked where it is not in the page's language. @param {string} tag @param {Said} said */
export function piece(tag, { text, lang }) {
  return make(tag, lang ? { lang } : {}, text);
}

/** @param {string} by */
function source(by) {
  return make("p", { class: "traced-source" }, sourceSaid(by));
}

/** @param {string} id @param {string} heading @param {HTMLElement[]} items */
function folded(id, heading, items) {
  if (!items.length) return null;
  return make("details", { class: "more", id }, make("summary", {}, `${heading}: ${words.traced.more(items.length)}`), make("ul", {}, ...items));
}
