/**
 * What the log view asks the server for, and the shapes of the answers (see web/archive_models.py,
 * web/comparing.py, web/following.py).
 *
 * @typedef {import("../../types.js").Unit} Unit
 *
 * @typedef {object} Row one firing of a list
 * @property {string} id
 * @property {string} kiln
 * @property {string} name
 * @property {"live" | "simulation" | "replay"} mode
 * @property {boolean} is_open
 * @property {Unit} units
 * @property {string | null} started_at
 * @property {string | null} ended_at
 * @property {number | null} length_s
 * @property {number} readings
 * @property {string[]} channels
 * @property {string | null} lead
 * @property {number | null} peak_c
 * @property {string | null} cone
 * @property {string | null} next_cone
 * @property {number | null} toward_next
 * @property {number} critical
 * @property {number} warnings
 * @property {number} notes
 * @property {number} looks
 * @property {number} findings
 * @property {number} photos
 *
 * @typedef {{total: number, offset: number, firings: Row[], kilns: string[]}} Page
 *
 * @typedef {object} Step
 * @property {number} number
 * @property {string} note
 * @property {boolean} is_complete
 * @property {number} planned_from_c
 * @property {number} planned_to_c
 * @property {number | null} planned_rate_c_per_h
 * @property {number} planned_hold_s
 * @property {number | null} begun_s
 * @property {number | null} reached_s
 * @property {number | null} ended_s
 * @property {number | null} from_c
 * @property {number | null} to_c
 * @property {number | null} rate_c_per_h
 * @property {number | null} held_s
 * @property {number | null} late_s
 *
 * @typedef {import("../../types.js").ChartEvent & {time: string | null, message: string}} EventRow
 *
 * @typedef {import("../../types.js").Alert & {acknowledged_at_s: number | null,
 *   acknowledged_by: string | null, escalated_at_s: number | null,
 *   cleared_message: string | null}} HandledAlert
 *
 * @typedef {Pick<HandledAlert, "kind" | "channel" | "severity" | "message" | "data">
 *   & {began_s: number, ended_s: number | null}} Trouble
 *
 * @typedef {object} Passage
 * @property {number | null} entered_s
 * @property {number | null} left_s
 * @property {number | null} mean_c_per_h
 * @property {number | null} fastest_c_per_h
 *
 * @typedef {object} Band
 * @property {string} name
 * @property {Passage} passage
 * @property {number | null} allowed_c_per_h
 * @property {number | null} too_fast
 *
 * @typedef {object} ConeLook
 * @property {number} elapsed_s
 * @property {string} cone
 * @property {string} seen_clock
 * @property {string | null} channel
 * @property {string | null} clock as calculated
 * @property {boolean} counts
 *
 * @typedef {object} Facts as supervisor/core/review/facts.py has them; those that are shown
 * @property {{name: string, target_cone: string | null, planned_s: number, lasted_s: number | null, peak_c: number} | null} plan
 * @property {{temp_c: number, at_s: number, hold_s: number, level_c: number, rate_c_per_h: number | null} | null} peak
 * @property {{temp_c: number, time_s: number}[]} above
 * @property {Band[]} bands
 * @property {{first_c_per_h: number | null, opened: {at_s: number, temp_c: number} | null, end_c: number, dwells: {to_c: number, reach_s: number, end_s: number}[]} | null} cooling
 * @property {{peak_apart_c: number | null, cones_apart: number | null, hottest: string | null, coolest: string | null} | null} evenness
 * @property {{channel: string, cone: string | null, next_cone: string | null, toward_next: number, coolest: string | null, hottest: string | null, offset_c: number}[]} cones
 * @property {ConeLook[]} looks
 * @property {Trouble[]} troubles
 * @property {{from_s: number, to_s: number}[]} gaps
 * @property {{kwh: number} | null} energy
 *
 * @typedef {object} Detail
 * @property {string | null} schedule_toml
 * @property {Record<string, any>} settings
 * @property {Step[]} steps
 * @property {Facts} facts
 * @property {EventRow[]} events
 * @property {HandledAlert[]} alerts
 * @property {import("../../types.js").Note[]} notes_written
 * @property {import("../../types.js").Look[]} witness
 * @property {{topic: string, text: string, by: string | null, time: string | null}[]} accounts
 * @property {{key: string, level: number, place: string, text: string | null, by: string | null}[]} found
 * @property {{number: number, caption: string | null, by: string | null, width_px: number, height_px: number}[]} pictures
 *
 * @typedef {Row & Detail} Firing
 *
 * @typedef {object} ArchivedChart
 * @property {string} firing_id
 * @property {number[]} elapsed_s
 * @property {Record<string, (number | null)[]>} channels
 * @property {{elapsed_s: number[], temp_c: number[]}} plan
 * @property {string | null} start_time
 *
 * @typedef {"time" | "temperature" | "peak"} Align
 *
 * @typedef {object} Line
 * @property {string} letter
 * @property {string | null} id
 * @property {string} name
 * @property {string | null} kiln
 * @property {string | null} started_at
 * @property {boolean} is_open
 * @property {string | null} cone
 * @property {number | null} peak_c
 * @property {(number | null)[]} values
 *
 * @typedef {object} Parting
 * @property {number} at
 * @property {number | null} until
 * @property {number} by
 * @property {number} worst_at
 * @property {number | null} temp_c
 * @property {{number: number, doing: string, to_c: number} | null} step
 *
 * @typedef {object} Difference
 * @property {string} what
 * @property {string} unit
 * @property {number | null} reference
 * @property {number | null} other
 * @property {boolean} is_alike
 * @property {string | null} reference_cone
 * @property {string | null} other_cone
 * @property {Record<string, number>} parts
 * @property {string[]} only_reference
 * @property {string[]} only_other
 *
 * @typedef {object} SoFar
 * @property {string} name
 * @property {boolean} has_peaked
 * @property {number | null} at_s
 * @property {number | null} temp_c
 * @property {number | null} against_c
 * @property {number | null} reached_c
 * @property {number | null} later_s
 *
 * @typedef {object} Against
 * @property {string} letter
 * @property {SoFar[]} so_far
 * @property {(number | null)[]} by
 * @property {boolean} has_common
 * @property {number} beyond
 * @property {number | null} both_s
 * @property {number} peaks_apart_c
 * @property {Parting[]} partings
 * @property {{at: number, by: number} | null} farthest
 * @property {Difference[]} differences
 *
 * @typedef {{align: Align, from_c: number, at: number[], lines: Line[], against: Against[]}} Comparison
 *
 * @typedef {object} Trend
 * @property {"climb" | "drift" | "evenness" | "late" | "energy" | "losses"} kind
 * @property {string | null} of
 * @property {string} unit
 * @property {"rises" | "falls" | "none_told" | "too_few"} verdict
 * @property {boolean} is_worth_a_warning
 * @property {{number: number, firing: string, started_at: string | null, value: number, is_at_least: boolean}[]} values
 * @property {{slope: number, low: number | null, high: number | null, first: number, last: number} | null} line
 * @property {number | null} at_c
 * @property {number | null} limit
 * @property {number | null} limit_c_per_h
 * @property {boolean} is_short
 * @property {{now: number, earliest: number, expected: number | null, latest: number | null} | null} forecast
 *
 * @typedef {{kiln: string | null, kilns: string[], firings: number, waiting: number, trends: Trend[]}} Trends
 */

import { ask } from "../../send.js";

/** @param {string} id */
export function addressOfFiring(id) {
  return `api/firings/${encodeURIComponent(id)}`;
}

/**
 * @param {Record<string, string>} wanted as web/archive_requests.py's FiringQuery; empty ones are left out
 * @returns {Promise<Page>}
 */
export function findFirings(wanted) {
  const asked = Object.entries(wanted).filter(([, value]) => value !== "");
  return ask(`api/firings?${new URLSearchParams(asked)}`);
}

/** @param {string} id @returns {Promise<Firing>} */
export function askFiring(id) {
  return ask(addressOfFiring(id));
}

/**
 * @param {string} id
 * @param {number} rows at most
 * @param {{min: number, max: number}} [span] elapsed seconds; all of it without
 * @returns {Promise<ArchivedChart>}
 */
export function askChart(id, rows, span) {
  const part = span ? `&from_s=${span.min.toFixed(1)}&to_s=${span.max.toFixed(1)}` : "";
  return ask(`${addressOfFiring(id)}/chart?max_points=${rows}${part}`);
}

/**
 * @param {string} id
 * @param {{text: string, elapsed_s: number | null, client_id: string}} note
 * @returns {Promise<import("../../types.js").Note | import("../../types.js").Accepted>}
 */
export function addPastNote(id, note) {
  return ask(`${addressOfFiring(id)}/notes`, note);
}

/**
 * @param {string} id
 * @param {string} note its id
 * @returns {Promise<import("../../types.js").Accepted | null>} null when it is on disk
 */
export function withdrawPastNote(id, note) {
  return ask(`${addressOfFiring(id)}/notes/${encodeURIComponent(note)}/withdraw`, {});
}

/**
 * @param {string} id
 * @param {object} look as the server's PastLookRequest
 * @returns {Promise<import("../../types.js").Look | import("../../types.js").Accepted>}
 */
export function addPastLook(id, look) {
  return ask(`${addressOfFiring(id)}/cones`, look);
}

/**
 * @param {string[]} ids the first is the one that the others are held against
 * @param {Align} align
 * @param {boolean} withPlan
 * @returns {Promise<Comparison>}
 */
export function askComparison(ids, align, withPlan) {
  const asked = new URLSearchParams(ids.map((id) => ["firing", id]));
  asked.set("align", align);
  if (withPlan) asked.set("with_plan", "true");
  return ask(`api/comparison?${asked}`);
}

/** @param {Record<string, string>} wanted kiln, since @returns {Promise<Trends>} */
export function askTrends(wanted) {
  return ask(`api/trends?${new URLSearchParams(wanted)}`);
}
