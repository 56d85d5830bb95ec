/** One plan, explained; from here it is chosen for the next log, or a copy of it is edited. */

import { make, say, sayWhy } from "../../dom.js";
import { addressOf } from "../../places.js";
import { sayTheirs } from "../../send.js";
import { askPlan, askPlans, chooseNext } from "./asking.js";
import { cautions, drawing, figures, sections } from "./explained.js";
import { holdBox } from "./hold.js";
import { nameOf, summaryOf } from "./saying.js";
import { words as planWords } from "./words.js";

/** @typedef {import("./asking.js").Shown} Shown */

/** What was saved a moment ago, to be said where it is then shown. */
let justSaved = "";

/** @param {string} id */
export function noteSaved(id) {
  justSaved = id;
}

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 */
export async function shown(root, { live, place, signal }) {
  const id = place.name ?? "";
  const problem = make("p", { class: "problem", role: "status" });
  const title = make("h2", { class: "plan-title" });
  const summary = make("p", {});
  const status = make("p", { class: "plan-status", role: "status" });
  const buttons = make("div", { class: "plan-buttons" });
  const numbers = make("div", {});
  const careful = make("div", {});
  const picture = make("section", { class: "panel", "aria-label": planWords.picture, hidden: true });
  const rest = make("section", { class: "panel", "aria-label": planWords.explained, hidden: true });
  const hold = make("div", {});
  root.append(
    make("p", { class: "plan-back" }, make("a", { href: addressOf("plans") }, planWords.all)),
    make("section", { class: "panel" }, title, summary, numbers, status, buttons, problem),
    careful, picture, hold, rest);
  if (justSaved === id) say(status, planWords.saved(id));
  justSaved = "";
  /** @type {import("../../types.js").Unit | null} */
  let unit = null;
  /** @type {Shown | null} */
  let found = null;

  live.listen({
    onSnapshot() {
      if (live.unit() !== unit) fetchPlan();
    },
  }, signal);
  if (unit === null) await fetchPlan();

  async function fetchPlan() {
    const wanted = live.unit();
    unit = wanted;
    try {
      const answer = await askPlan(id, wanted);
      if (signal.aborted || wanted !== unit) return;
      const isFirst = found === null;
      found = answer;
      say(problem, "");
      draw(answer);
      if (isFirst) await offer();
    } catch (error) {
      sayWhy(problem, error);
    }
  }

  /** @param {Shown} answer */
  function draw({ entry, explained, draft }) {
    say(title, nameOf(entry));
    if (!explained || !draft) {
      sayTheirs(problem, entry.problem ?? "", entry.why);
      return;
    }
    say(summary, summaryOf(entry));
    numbers.replaceChildren(figures(explained, live.unit()));
    careful.replaceChildren(...[cautions(explained, live.unit())].filter((one) => one !== null));
    picture.hidden = rest.hidden = false;
    picture.replaceChildren(drawing(explained));
    rest.replaceChildren(...sections(explained, live.unit()));
    hold.replaceChildren(holdBox((cone) => askPlan(id, live.unit(), cone), explained.target_cone, () => live.unit(), null));
  }

  /** The buttons, once it is known which plan is fired next. */
  async function offer() {
    if (!found?.draft) return;
    const edit = make("a", { class: "small", href: addressOf("plans", id, { edit: "1" }) }, planWords.edit);
    const choose = make("button", { type: "button", class: "small plan-choose" }, planWords.choose);
    buttons.replaceChildren(choose, edit);
    choose.addEventListener("click", async () => {
      choose.setAttribute("disabled", "");
      try {
        await chooseNext(id);
        say(problem, "");
        isChosen();
      } catch (error) {
        choose.removeAttribute("disabled");
        sayWhy(problem, error, planWords.failed);
      }
    });
    const { next } = await askPlans();
    if (next.chosen_id === id) isChosen();

    function isChosen() {
      say(status, live.snapshot?.log.state === "open" ? planWords.chosenLater : planWords.chosen);
      choose.remove();
    }
  }
}
