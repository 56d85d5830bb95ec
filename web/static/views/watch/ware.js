/**
 * What is in the kiln: load and glazes in one's own words, and photos, while the firing goes on. The
 * parts are those of the unloading view, fetched when they are first opened.
 */

import { byId, make, say, sayWhy } from "../../dom.js";
import { ask } from "../../send.js";
import { words } from "../../words.js";

/** @typedef {import("../../types.js").Snapshot} Snapshot */

/**
 * @param {import("../../types.js").Context} context
 * @returns {(snapshot: Snapshot) => void}
 */
export function warePanel(context) {
  const box = /** @type {HTMLDetailsElement} */ (byId("ware"));
  const place = byId("ware-place");
  /** @type {string | null} */
  let running = null;
  /** @type {string | null} of which firing the parts are */
  let shown = null;
  let leaving = new AbortController();
  context.signal.addEventListener("abort", () => leaving.abort());

  async function fill() {
    const id = running;
    if (id === null || !box.open) return;
    shown = id;
    leaving.abort();
    leaving = new AbortController();
    const { signal } = leaving;
    const parts = await partsOf(id, { ...context, signal });
    if (!signal.aborted) place.replaceChildren(...parts);
  }

  box.addEventListener("toggle", fill);
  return ({ firing }) => {
    running = firing?.id ?? null;
    if (running !== shown) fill();
  };
}

/**
 * @param {string} id
 * @param {import("../../types.js").Context} context
 * @returns {Promise<HTMLElement[]>} what is wrong, where it can't be had
 */
async function partsOf(id, context) {
  const problem = make("p", { class: "problem", role: "status" });
  let found;
  try {
    found = await ask(`api/firings/${encodeURIComponent(id)}`);
  } catch (error) {
    sayWhy(problem, error);
    return [problem];
  }
  try {
    const [{ toldSection }, { photoSection }, { style }] = await Promise.all([
      import("../unload/told.js"), import("../unload/photos.js"), import("../../styles.js")]);
    await style("static/views/unload/unload.css");
    const of = { firing: found, accounts: found.accounts, pictures: found.pictures };
    return [photoSection(of, context), toldSection(of, ["load", "glazes"])];
  } catch (error) {
    console.error(error);
    say(problem, words.notLoaded.text);
    return [problem];
  }
}
