/**
 * What the unload view asks the server for, and the shapes of the answers (see web/unload.py and
 * web/archive_models.py).
 *
 * @typedef {import("../../types.js").Unit} Unit
 * @typedef {import("../../types.js").Look} Look
 * @typedef {import("../../types.js").Accepted} Accepted
 *
 * @typedef {object} FiringRow
 * @property {string} id
 * @property {string} name
 * @property {boolean} is_open
 * @property {string | null} started_at
 * @property {number | null} length_s
 * @property {string[]} channels
 * @property {number | null} peak_c
 * @property {string | null} cone
 * @property {string | null} next_cone
 * @property {number | null} toward_next
 *
 * @typedef {{topic: string, text: string}} Account
 * @typedef {{key: string, level: number, place: string, text: string | null}} Finding
 * @typedef {{number: number, caption: string | null, width_px: number, height_px: number}} Photo
 *
 * @typedef {object} Unloading
 * @property {FiringRow} firing
 * @property {string | null} target_cone
 * @property {string[]} cones
 * @property {Account[]} accounts
 * @property {Finding[]} found
 * @property {Look[]} witness
 * @property {Photo[]} pictures
 *
 * @typedef {Record<string, string | number | boolean | null>} Figures °C, seconds, °C an hour
 *
 * @typedef {object} Cause
 * @property {string} name
 * @property {string} cause
 * @property {"supported" | "unknown" | "ruled_out"} verdict
 * @property {string} saying
 * @property {string} said
 * @property {Figures} figures
 * @property {string} next_time
 * @property {string} source
 *
 * @typedef {object} Traced
 * @property {string} key
 * @property {string} title
 * @property {Cause[]} causes
 * @property {{key: string, cause: string, source: string}[]} outside
 *
 * @typedef {{key: string, said: string}} Way
 * @typedef {{name: string, advice: string, reason: string, change: string, figures: Figures, ways: Way[]}} Change
 *
 * @typedef {object} TracedFiring
 * @property {string} firing_id
 * @property {boolean} is_whole
 * @property {boolean} is_open
 * @property {Traced[]} defects
 * @property {Change[]} changes
 * @property {number} looks at real cones
 * @property {string | null} seen_cone what they make of the firing
 *
 * @typedef {object} PlanFit
 * @property {number} off_c
 * @property {number} off_at_s
 * @property {number | null} swing_c
 * @property {string | null} fired_cone
 * @property {string | null} cone
 * @property {number | null} cones_apart
 * @property {boolean} agrees
 * @property {{what: "heat_lost" | "stall", since_s: number, lasted_s: number, temp_c: number}[]} left_out
 *
 * @typedef {object} AgainPlan
 * @property {string | null} change
 * @property {import("../plans/asking.js").Draft} draft
 * @property {PlanFit} fit
 * @property {string | null} cone_by_cones
 * @property {import("../plans/asking.js").Explained} explained
 */

import { Refused, ask } from "../../send.js";
import { language } from "../../settings.js";

/** Working a long firing out may take longer than a request waits; the server goes on meanwhile. */
const TRIES = 6;

/** @param {string} id */
const firing = (id) => `api/firings/${encodeURIComponent(id)}`;
/** @param {string} id */
const unload = (id) => `api/unload/${encodeURIComponent(id)}`;

/** @param {string | null} id null: the latest @returns {Promise<Unloading>} */
export function askUnloading(id) {
  return ask(id === null ? "api/unload" : unload(id));
}

/** @param {string} id @param {Unit} units @param {AbortSignal} signal @returns {Promise<TracedFiring>} */
export function askTraced(id, units, signal) {
  return patiently(`${unload(id)}/traced?units=${units}`, signal);
}

/**
 * @param {string} id
 * @param {Unit} units
 * @param {string | null} change
 * @param {AbortSignal} signal
 * @returns {Promise<AgainPlan>}
 */
export function askAgain(id, units, change, signal) {
  const asked = change === null ? "" : `&change=${encodeURIComponent(change)}`;
  return patiently(`${unload(id)}/plan?units=${units}&language=${language}${asked}`, signal);
}

/** @param {string} id @returns {Promise<Accepted | null>} */
export function keepTraced(id) {
  return ask(`${unload(id)}/traced`, {});
}

/** @param {string} id @param {object[]} findings @returns {Promise<Finding[] | Accepted>} */
export function sendFindings(id, findings) {
  return ask(`${firing(id)}/findings`, { findings });
}

/** @param {string} id @param {object} look as the server's PastLookRequest @returns {Promise<Look | Accepted>} */
export function sendLook(id, look) {
  return ask(`${firing(id)}/cones`, look);
}

/** @param {string} id @param {number} number @returns {Promise<Accepted | null>} */
export function withdrawLook(id, number) {
  return ask(`${unload(id)}/cones/${number}/withdraw`, {});
}

/** @param {string} id @param {object} account as the server's AccountRequest @returns {Promise<Account | Accepted>} */
export function sendAccount(id, account) {
  return ask(`${firing(id)}/accounts`, account);
}

/** @param {string} id @param {number} number @returns {Promise<Accepted | null>} */
export function withdrawPhoto(id, number) {
  return ask(`${photoAt(id, number)}/withdraw`, {});
}

/** @param {string} id @param {number} number */
export function photoAt(id, number) {
  return `${firing(id)}/photos/${number}`;
}

/** @param {string} address @param {AbortSignal} signal @returns {Promise<any>} */
async function patiently(address, signal) {
  for (let left = TRIES; ; left -= 1) {
    try {
      return await ask(address);
    } catch (error) {
      if (error instanceof Refused || left <= 1 || signal.aborted) throw error;
    }
  }
}
