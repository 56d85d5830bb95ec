/** Talking to the record: the only two things this page writes. */

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

/** @param {string} id */
export function acknowledge(id) {
  return ask(`api/alerts/${encodeURIComponent(id)}/acknowledge`, {});
}

/** @param {string} text */
export function addNote(text) {
  return ask("api/notes", { text });
}
