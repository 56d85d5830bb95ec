/**
 * What the plan view asks the server for, and the shapes of the answers (see web/plans.py).
 *
 * @typedef {import("../../types.js").Unit} Unit
 * @typedef {import("../../types.js").Why} Why
 *
 * @typedef {object} Entry
 * @property {string} id
 * @property {string} name
 * @property {boolean} is_starter
 * @property {string | null} kind
 * @property {string | null} atmosphere
 * @property {string | null} target_cone
 * @property {number | null} peak_c
 * @property {number | null} total_s
 * @property {string | null} problem
 * @property {Why | null} [why] what the problem is made of
 *
 * @typedef {{chosen_id: string | null, chosen_name: string | null, usual_name: string}} Next
 * @typedef {{plans: Entry[], folder: string, next: Next}} PlanList
 *
 * @typedef {number | string | null} Figure
 * @typedef {{rate: Figure, to: Figure, hold_min: Figure, note: string}} Step
 *
 * @typedef {object} Draft
 * @property {string} name
 * @property {Unit} units
 * @property {string} kind
 * @property {string} atmosphere
 * @property {string | null} target_cone
 * @property {Step[]} steps
 * @property {Record<string, string | number | boolean>[]} bands
 *
 * @typedef {{field: string, message: string, why?: Why | null, text: string, lang: string | null}} Mistake `text` in words of this phone
 * @typedef {{saying: string, figures: Record<string, string | number | boolean | null>}} Part
 * @typedef {{cone: string, hold_min: number | null, step: number, others: number[], sentence: string, part: Part}} HoldFor
 *
 * @typedef {object} Shape
 * @property {string} role
 * @property {number[]} points
 * @property {boolean} is_area
 * @property {string | null} text
 * @property {number | null} size
 * @property {string | null} anchor
 * @property {boolean} is_bold
 *
 * @typedef {{width: number, height: number, title: string, description: string, shapes: Shape[]}} Drawing
 *
 * @typedef {object} Explained
 * @property {string} name
 * @property {string} summary
 * @property {number} total_s
 * @property {number} peak_c
 * @property {string | null} target_cone
 * @property {string | null} cone
 * @property {string | null} coolest
 * @property {string | null} hottest
 * @property {{heading: string, lines: string[], parts: Part[]}[]} sections
 * @property {string[]} cautions
 * @property {Part[]} caution_parts
 * @property {HoldFor | null} hold_for
 * @property {{wide: Drawing, narrow: Drawing}} picture
 *
 * @typedef {{entry: Entry, draft: Draft | null, explained: Explained | null}} Shown
 * @typedef {{mistakes: Mistake[], explained: Explained | null}} Answer
 * @typedef {{mistakes: Mistake[], saved: Entry | null}} Saved
 */

import { ask, inOwnWords } from "../../send.js";
import { language } from "../../settings.js";

/** @returns {Promise<PlanList>} */
export function askPlans() {
  return ask("api/plans");
}

/** With what does not fit in this phone's language. @template {Answer | Saved} T @param {T} answer @returns {Promise<T>} */
async function inWords(answer) {
  const mistakes = await Promise.all(answer.mistakes.map(async (one) => ({ ...one, ...await inOwnWords(one.message, one.why) })));
  return { ...answer, mistakes };
}

/**
 * @param {string} id
 * @param {Unit} units
 * @param {string | null} holdFor a cone
 * @returns {Promise<Shown>}
 */
export function askPlan(id, units, holdFor = null) {
  const hold = holdFor === null ? "" : `&hold_for=${encodeURIComponent(holdFor)}`;
  return ask(`api/plans/${encodeURIComponent(id)}?units=${units}&language=${language}${hold}`);
}

/**
 * @param {Draft} draft
 * @param {Unit} units
 * @param {string | null} holdFor a cone
 * @returns {Promise<Answer>}
 */
export async function askExplained(draft, units, holdFor = null) {
  return inWords(await ask("api/plans/explain", { draft, units, hold_for: holdFor, language }));
}

/**
 * @param {Draft} draft
 * @returns {Promise<Saved>}
 */
export async function savePlan(draft) {
  return inWords(await ask("api/plans", { draft }));
}

/**
 * @param {string | null} id null: the usual plan
 * @returns {Promise<Next>}
 */
export function chooseNext(id) {
  return ask("api/plans/next", { id });
}
