/** Load, glazes and result in one's own words, kept with the firing. */

import { make, say, sayWhy } from "../../dom.js";
import { newId } from "../../send.js";
import { sendAccount } from "./asking.js";
import { words } from "./words.js";

/** @typedef {"load" | "glazes" | "result"} Topic */

/** @type {Topic[]} */
const TOPICS = ["load", "glazes", "result"];

/**
 * @param {Pick<import("./asking.js").Unloading, "firing" | "accounts">} unloading
 * @param {Topic[]} topics while a firing goes on nobody knows its result
 */
export function toldSection({ firing, accounts }, topics = TOPICS) {
  const answer = make("p", { class: "note-answer", role: "status" });
  const save = make("button", { type: "submit", class: "small" }, words.told.save);
  const fields = topics.map((topic) => {
    const kept = accounts.find((one) => one.topic === topic)?.text ?? "";
    const storeKey = `spyhole.told.${firing.id}.${topic}`;
    const text = /** @type {HTMLTextAreaElement} */ (make("textarea", { id: `told-${topic}`, rows: "2", maxlength: "4000" }));
    text.value = draft(storeKey) ?? kept;
    text.addEventListener("input", () => {
      say(answer, "");
      remember(storeKey, text.value);
    });
    return { topic, text, kept, storeKey, sent: { text: "", id: "" } };
  });
  const form = make("form", { class: "told-form" },
    ...fields.map(({ topic, text }) => make("div", {}, make("label", { for: text.id }, words.told[topic]), text)),
    make("div", {}, save), answer);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const changed = fields.filter(({ text, kept }) => text.value.trim() !== kept);
    if (!changed.length) return say(answer, words.told.nothing);
    save.setAttribute("disabled", "");
    say(answer, words.saving);
    try {
      let told = words.saved;
      for (const field of changed) {
        const text = field.text.value.trim();
        // The same text tried again is the same account; another text is another.
        if (field.sent.text !== text || !field.sent.id) field.sent = { text, id: newId() };
        const answered = await sendAccount(firing.id, { topic: field.topic, text, client_id: field.sent.id });
        if ("accepted" in answered) told = answered.message;
        field.kept = text;
        field.sent = { text: "", id: "" };
        remember(field.storeKey, null);
      }
      say(answer, told);
    } catch (error) {
      sayWhy(answer, error, words.failed);
    } finally {
      save.removeAttribute("disabled");
    }
  });
  return make("section", { id: "unload-told", class: "panel", "aria-labelledby": "told-heading" },
    make("h2", { id: "told-heading", tabindex: "-1" }, words.told.heading), form);
}

/** What was typed before a tap into another view. @param {string} key */
function draft(key) {
  try {
    return sessionStorage.getItem(key);
  } catch {
    return null;
  }
}

/** @param {string} key @param {string | null} text */
function remember(key, text) {
  try {
    if (text === null) sessionStorage.removeItem(key);
    else sessionStorage.setItem(key, text);
  } catch {
    // Not remembered; it still can be saved.
  }
}
