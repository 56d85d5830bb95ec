/** Talking to the record: the only things that this page writes. */

import { words } from "./words.js";

const PATIENCE_MS = 10000;

/**
 * @param {string} address
 * @param {object} [body] sent as JSON; without it the request reads
 * @returns {Promise<any>} the answer's JSON, null when it has none
 * @throws {Error} with one sentence for a person
 */
export async function ask(address, body) {
  /** @type {Response} */
  let response;
  try {
    response = await fetch(address, {
      method: body ? "POST" : "GET",
      headers: body ? { "Content-Type": "application/json" } : {},
      body: body ? JSON.stringify(body) : undefined,
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
  } catch {
    throw new Error(words.noAnswer);
  }
  if (response.status === 204) return null;
  const answer = await response.json().catch(() => null);
  if (!response.ok) throw new Error(answer?.error?.message ?? words.noAnswer);
  return answer;
}

/**
 * A random UUID (RFC 9562, version 4). The browser's own `randomUUID` is not there over plain
 * http.
 */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/**
 * @param {string} id
 * @returns {Promise<import("./types.js").Accepted | null>} null when it is on disk
 */
export function acknowledge(id) {
  return ask(`api/alerts/${encodeURIComponent(id)}/acknowledge`, {});
}

/**
 * @param {string} text
 * @param {string} id of this note: sent again with the same one it is not written twice
 * @returns {Promise<import("./types.js").Note | import("./types.js").Accepted>}
 */
export function addNote(text, id) {
  return ask("api/notes", { text, client_id: id });
}

/**
 * @param {string} after id of the firing that was shown, armed or closed
 * @returns {Promise<import("./types.js").Accepted | null>} null when it is on disk
 */
export function beginLog(after) {
  return ask("api/log/begin", { after });
}

/**
 * @param {string} id of the firing whose log is to end
 * @returns {Promise<import("./types.js").Accepted | null>} null when it is on disk
 */
export function endLog(id) {
  return ask(`api/log/${encodeURIComponent(id)}/end`, {});
}

/**
 * @param {object} look as the server's LookRequest; with the same client_id it is not written twice
 * @returns {Promise<import("./types.js").Look | import("./types.js").Accepted>}
 */
export function addLook(look) {
  return ask("api/cones", look);
}

/**
 * @param {number} number
 * @returns {Promise<import("./types.js").Accepted | null>} null when it is on disk
 */
export function withdrawLook(number) {
  return ask(`api/cones/${number}/withdraw`, {});
}

/**
 * @param {string} channel
 * @param {number} offsetC the estimate that was shown
 * @returns {Promise<import("./types.js").Accepted | null>} null when it is on disk
 */
export function acceptOffset(channel, offsetC) {
  return ask(`api/offsets/${encodeURIComponent(channel)}/accept`, { offset_c: offsetC });
}

/**
 * @param {string} channel
 * @returns {Promise<import("./types.js").Accepted | null>} null when it is on disk
 */
export function withdrawOffset(channel) {
  return ask(`api/offsets/${encodeURIComponent(channel)}/withdraw`, {});
}
