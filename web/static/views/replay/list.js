/** The firings and simulations that can be played. */

import { make, sayWhy } from "../../dom.js";
import { addressOf } from "../../places.js";
import { clock, showDuration } from "../../units.js";
import { askReplays } from "./asking.js";
import { calledOf } from "./called.js";
import { words as replayWords } from "./words.js";

/** @typedef {import("./asking.js").Entry} Entry */

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 */
export async function list(root, { signal }) {
  const problem = make("p", { class: "problem", role: "status" });
  const firings = make("ul", { class: "replay-list" });
  const scenarios = make("ul", { class: "replay-list" });
  root.append(
    make("section", { class: "panel", "aria-labelledby": "replay-firings-heading" },
      make("h2", { id: "replay-firings-heading" }, replayWords.firings),
      make("p", {}, replayWords.about), problem, firings),
    make("section", { class: "panel", "aria-labelledby": "replay-scenarios-heading" },
      make("h2", { id: "replay-scenarios-heading" }, replayWords.scenarios),
      make("p", {}, replayWords.aboutScenarios), scenarios));
  try {
    const found = await askReplays();
    if (signal.aborted) return;
    firings.replaceChildren(...(found.firings.length ? found.firings.map(row)
      : [make("li", { class: "replay-none" }, replayWords.none)]));
    scenarios.replaceChildren(...found.scenarios.map(row));
  } catch (error) {
    sayWhy(problem, error);
  }
}

/** @param {Entry} entry */
function row(entry) {
  const date = entry.started_at?.slice(0, 10) ?? null;
  const at = clock(entry.started_at);
  const facts = [
    date && at ? `${date}, ${at}` : null,
    entry.origin === "firing" ? entry.kiln : null,
    entry.lasted_s === null ? null : showDuration(entry.lasted_s),
    entry.is_open ? replayWords.goesOn : null,
    entry.is_simulated && entry.origin === "firing" ? replayWords.simulated : null,
  ].filter((one) => one !== null);
  return make("li", {},
    make("a", { href: addressOf("replay", entry.id) },
      make("span", { class: "replay-name" }, calledOf(entry)),
      facts.length ? make("span", { class: "replay-facts" }, facts.join(" · ")) : null));
}
