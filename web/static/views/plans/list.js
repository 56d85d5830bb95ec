/** The list of plans, and which one is fired next. */

import { make, say, sayWhy } from "../../dom.js";
import { addressOf } from "../../places.js";
import { sayTheirs } from "../../send.js";
import { showDuration, showTemp } from "../../units.js";
import { words } from "../../words.js";
import { askPlans, chooseNext } from "./asking.js";
import { nameOf } from "./saying.js";
import { words as planWords } from "./words.js";

/** @typedef {import("./asking.js").Entry} Entry */
/** @typedef {import("./asking.js").PlanList} PlanList */
/** @typedef {import("../../types.js").Unit} Unit */

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 */
export async function list(root, { live, signal }) {
  const problem = make("p", { class: "problem", role: "status" });
  const own = make("ul", { class: "plan-list" });
  const starters = make("ul", { class: "plan-list" });
  const folder = make("p", { class: "small-print" });
  const next = make("p", { id: "plans-next" });
  const back = make("button", { type: "button", class: "small", hidden: true }, planWords.useUsual);
  root.append(
    make("section", { class: "panel", "aria-labelledby": "plans-next-heading" },
      make("h2", { id: "plans-next-heading" }, planWords.nextHeading),
      next, make("div", { class: "plan-buttons" }, back), problem),
    make("section", { class: "panel", "aria-labelledby": "plans-own-heading" },
      make("h2", { id: "plans-own-heading" }, planWords.own), own, folder),
    make("section", { class: "panel", "aria-labelledby": "plans-starters-heading" },
      make("h2", { id: "plans-starters-heading" }, planWords.starters), starters));
  /** @type {PlanList | null} */
  let found = null;
  /** @type {Unit | null} */
  let unit = null;

  back.addEventListener("click", async () => {
    back.setAttribute("disabled", "");
    try {
      const chosen = await chooseNext(null);
      if (found) found = { ...found, next: chosen };
      say(problem, "");
      draw();
    } catch (error) {
      sayWhy(problem, error, planWords.failed);
    } finally {
      back.removeAttribute("disabled");
    }
  });
  try {
    found = await askPlans();
  } catch (error) {
    sayWhy(problem, error);
  }
  live.listen({
    onSnapshot() {
      if (live.unit() === unit) return;
      unit = live.unit();
      draw();
    },
  }, signal);

  function draw() {
    if (!found) return;
    const { chosen_id: chosen, chosen_name: chosenName, usual_name: usual } = found.next;
    say(next, chosenName === null ? planWords.nextUsual(words.called(usual)) : planWords.nextChosen(words.called(chosenName)));
    back.hidden = chosen === null;
    say(folder, planWords.folder(found.folder));
    const rows = found.plans.map((plan) => ({ plan, row: entry(plan, live.unit(), plan.id === chosen) }));
    starters.replaceChildren(...rows.filter(({ plan }) => plan.is_starter).map(({ row }) => row));
    const mine = rows.filter(({ plan }) => !plan.is_starter).map(({ row }) => row);
    own.replaceChildren(...(mine.length ? mine : [make("li", { class: "plan-none" }, planWords.noneOwn)]));
  }
}

/** @param {Entry} plan @param {Unit} unit @param {boolean} isNext */
function entry(plan, unit, isNext) {
  if (plan.problem !== null) {
    return make("li", { class: "plan-bad" }, make("strong", {}, plan.id), sayTheirs(make("p", { class: "problem" }), plan.problem, plan.why));
  }
  return make("li", {},
    make("a", { href: addressOf("plans", plan.id) },
      make("span", { class: "plan-name" }, nameOf(plan), isNext ? make("span", { class: "leads" }, planWords.isNext) : null),
      make("span", { class: "plan-facts" }, facts(plan, unit))));
}

/** @param {Entry} plan @param {Unit} unit */
function facts(plan, unit) {
  const known = [
    plan.kind && plan.kind !== "other" ? planWords.kind[/** @type {"bisque" | "glaze"} */ (plan.kind)] : null,
    plan.target_cone === null ? null : words.cones.name(plan.target_cone),
    plan.peak_c === null ? null : showTemp(plan.peak_c, unit),
    plan.total_s === null ? null : showDuration(plan.total_s),
    plan.atmosphere === "reduction" ? planWords.atmosphere.reduction : null,
  ];
  return known.filter((one) => one !== null).join(" · ");
}
