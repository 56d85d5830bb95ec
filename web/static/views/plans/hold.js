/** How long must the peak be held for a cone? Asked here, answered by the server. */

import { CONE_NAMES } from "../../cones.js";
import { make, say, sayWhy } from "../../dom.js";
import { words } from "../../words.js";
import { lineSaid } from "./saying.js";
import { words as planWords } from "./words.js";

/** @typedef {import("./asking.js").Explained} Explained */
/** @typedef {import("./asking.js").HoldFor} HoldFor */

/**
 * @param {(cone: string) => Promise<{explained: Explained | null}>} askFor
 * @param {string | null} cone the one that is meant, if one is
 * @param {() => import("../../types.js").Unit} unit
 * @param {((hold: HoldFor) => void) | null} use put it into the form; null where there is none
 */
export function holdBox(askFor, cone, unit, use) {
  const select = /** @type {HTMLSelectElement} */ (make("select", { id: "hold-cone" },
    ...CONE_NAMES.map((name) => make("option", { value: name }, words.cones.name(name)))));
  select.value = cone ?? "6";
  const button = make("button", { type: "button", class: "small" }, planWords.holdAsk);
  const answer = make("p", { role: "status" });
  const further = make("div", { class: "plan-buttons" });
  button.addEventListener("click", async () => {
    button.setAttribute("disabled", "");
    further.replaceChildren();
    say(answer, planWords.asking);
    try {
      const { explained } = await askFor(select.value);
      const hold = explained?.hold_for ?? null;
      say(answer, hold ? lineSaid(hold.part, hold.sentence, unit()).text : planWords.holdMistakes);
      if (hold && hold.hold_min !== null && use) {
        const take = make("button", { type: "button", class: "small" }, planWords.holdUse);
        take.addEventListener("click", () => {
          use(hold);
          further.replaceChildren();
          say(answer, planWords.holdUsed);
        });
        further.append(take);
      }
    } catch (error) {
      sayWhy(answer, error, planWords.failed);
    } finally {
      button.removeAttribute("disabled");
    }
  });
  return make("section", { class: "panel", "aria-labelledby": "hold-heading" },
    make("h2", { id: "hold-heading" }, planWords.holdHeading),
    make("div", { class: "plan-row" },
      make("label", { for: "hold-cone", class: "heard-only" }, words.witness.cone), select, button),
    answer, further);
}
