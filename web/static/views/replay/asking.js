/**
 * What the replay view asks the server for, and the shapes of the answers (see web/replay.py).
 *
 * @typedef {object} Entry
 * @property {string} id
 * @property {string} name
 * @property {"firing" | "scenario"} origin
 * @property {string | null} kiln
 * @property {string | null} started_at
 * @property {number | null} lasted_s
 * @property {boolean} is_open
 * @property {boolean} is_simulated
 *
 * @typedef {object} FilmEvent
 * @property {number} elapsed_s
 * @property {string | null} time
 * @property {"watch" | "note"} by
 * @property {string} kind
 * @property {"info" | "warning" | "critical"} severity
 * @property {"raised" | "cleared"} state
 * @property {string | null} channel
 * @property {string} message
 * @property {import("../../types.js").Alert["data"]} data
 *
 * @typedef {object} Frame
 * @property {number} elapsed_s
 * @property {string | null} time
 * @property {"waiting" | "firing" | "finished"} state
 * @property {string} sentence_c
 * @property {string} sentence_f
 * @property {import("../../types.js").Channel[]} channels
 * @property {number | null} spread_c
 * @property {import("../../types.js").Plan} plan
 * @property {import("../../types.js").Cone[]} cones
 * @property {import("../../types.js").Correction | null} correction
 * @property {number[]} open
 *
 * @typedef {object} Film
 * @property {Entry} entry
 * @property {{name: string, kind: string}} kiln
 * @property {import("../../types.js").Unit} units
 * @property {{elapsed_s: number[], channels: Record<string, (number | null)[]>, plan: {elapsed_s: number[], temp_c: number[]}, start_time: string | null}} chart
 * @property {FilmEvent[]} events
 * @property {Frame[]} frames
 *
 * @typedef {{share: number, waiting: number}} Winding
 */

import { ask } from "../../send.js";

const AGAIN_MS = 700;

/** @returns {Promise<{firings: Entry[], scenarios: Entry[]}>} */
export function askReplays() {
  return ask("api/replays");
}

/**
 * The film, once it is made.
 * @param {string} id
 * @param {(winding: Winding) => void} onWinding told while it is being made
 * @param {AbortSignal} signal
 * @returns {Promise<Film | null>} null when the view was left meanwhile
 */
export async function askFilm(id, onWinding, signal) {
  while (!signal.aborted) {
    const answer = await ask(`api/replays/${encodeURIComponent(id)}`);
    if (signal.aborted) return null;
    if ("frames" in answer) return answer;
    onWinding(answer);
    await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
  }
  return null;
}
