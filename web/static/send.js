/** Talking to the record: the only things that this page writes. */

import { sayIn } from "./dom.js";
import { language } from "./settings.js";
import { words } from "./words.js";

const PATIENCE_MS = 10000;

/** An answer that is no success: its sentence, and what a program makes of it. */
export class Refused extends Error {
  /**
   * @param {string} message
   * @param {number} status of HTTP
   * @param {string} code the server's fixed word for it
   * @param {number} waitS seconds after which another try is heard
   * @param {string | null} lang of the sentence, where it is not the page's own
   */
  constructor(message, status, code, waitS, lang) {
    super(message);
    this.lang = lang;
    this.status = status;
    this.code = code;
    this.waitS = waitS;
  }
}

/** @type {(() => Promise<boolean>) | null} */
let askForPin = null;

/** @param {() => Promise<boolean>} how to ask for the PIN; the answer is whether it was given */
export function whenRefused(how) {
  askForPin = how;
}

/**
 * Asks; where the PIN is wanted the person is asked for it first, and then it is asked once more.
 * @param {string} address
 * @param {object} [body] sent as JSON; without it the request reads
 * @returns {Promise<any>} the answer's JSON, null when it has none
 * @throws {Error} with one sentence for a person
 */
export function ask(address, body) {
  return withPin(() => send(address, body));
}

/**
 * Does it; where the PIN is wanted the person is asked for it, and then it is done once more.
 * @template T
 * @param {() => Promise<T>} attempt throws Refused
 * @returns {Promise<T>}
 */
export async function withPin(attempt) {
  try {
    return await attempt();
  } catch (error) {
    const wantsPin = error instanceof Refused && error.status === 401 && askForPin !== null;
    if (!wantsPin || !(await askForPin?.())) throw error;
  }
  return attempt();
}

/**
 * The same, without asking the person for anything.
 * @param {string} address
 * @param {object} [body]
 * @returns {Promise<any>}
 * @throws {Error} with one sentence for a person; Refused where the server said it
 */
export async function send(address, body) {
  /** @type {Response} */
  let response;
  try {
    response = await fetch(address, {
      method: body ? "POST" : "GET",
      // The second is one that no other site's page can send.
      headers: body ? { "Content-Type": "application/json", "X-Spyhole": "1" } : {},
      body: body ? JSON.stringify(body) : undefined,
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
  } catch {
    throw new Error(words.noAnswer);
  }
  if (response.status === 204) return null;
  const answer = await response.json().catch(() => null);
  if (answer?.accepted && language !== "en") answer.message = (await import("./whys.js")).words.kept;
  if (response.ok) return answer;
  throw await refusal(response.status, answer, Number(response.headers.get("Retry-After") ?? 0));
}

/** @param {number} status @param {any} answer its JSON, if it has any @param {number} waitS */
export async function refusal(status, answer, waitS = 0) {
  const { message, code, why } = answer?.error ?? {};
  const { text, lang } = message ? await inOwnWords(message, why) : { text: words.noAnswer, lang: null };
  return new Refused(text, status, code ?? "", waitS, lang);
}

/**
 * A sentence of the server's in this phone's language, where that has words for it.
 * @param {string} text @param {import("./types.js").Why | null} [why] what it is made of
 * @returns {Promise<import("./saying.js").Said>}
 */
export async function inOwnWords(text, why) {
  if (language === "en") return { text, lang: null };
  const own = why ? (await import("./whys.js").catch(() => null))?.worded(why) : null;
  return own ? { text: own, lang: null } : { text, lang: "en" };
}

/**
 * Say it in the element, in this phone's language.
 * @param {HTMLElement} element @param {string} text @param {import("./types.js").Why | null} [why]
 */
export function sayTheirs(element, text, why) {
  inOwnWords(text, why).then((said) => sayIn(element, said));
  return element;
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
 * @param {string} id of the note
 * @returns {Promise<import("./types.js").Accepted | null>} null when it is on disk
 */
export function withdrawNote(id) {
  return ask(`api/notes/${encodeURIComponent(id)}/withdraw`, {});
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
