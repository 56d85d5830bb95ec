/**
 * The notes: written in one's own words, or the common ones with one tap, and listed. All are
 * ordinary notes of the record. Knows forms and taps, nothing of kilns but how they are heated.
 */

import { byId, make, say, sayWhy, whenChanged } from "../../dom.js";
import { newId } from "../../send.js";
import { clock, digits, showElapsed } from "../../units.js";
import { words } from "../../words.js";
import { takeBack } from "./witness.js";

/** @typedef {import("../../types.js").Snapshot} Snapshot */
/** @typedef {import("../../types.js").Note} Note */
/** @typedef {import("../../types.js").Accepted} Accepted */
/** @typedef {(text: string, id: string) => Promise<Note | Accepted>} AddNote */
/** @typedef {keyof typeof words.notes.quick} Quick */
/** @typedef {{id: string, when: string, by: string | null, text: string, isRecent: boolean}} Shown */

/** From here on letters are counted. */
const FEW_LEFT = 300;
/** So long a note can be taken back here: a night, in which a mistap is found. */
const TAKEN_BACK_WITHIN_S = 12 * 3600;
/** @type {Record<string, Quick[]>} what is done at a kiln, by how it is heated */
const DONE_AT = {
  electric: ["switchesLow", "switchesMedium", "switchesHigh", "plugOut", "plugIn", "lidPropped", "lidShut"],
  gas: ["damperOut", "damperIn", "burnerUp", "burnerDown", "reductionBegun", "reductionEnded", "plugOut", "plugIn"],
  wood: ["stoked", "damperOut", "damperIn", "reductionBegun", "reductionEnded", "plugOut", "plugIn"],
};
/** @type {Quick[]} */
const ALL = ["damperOut", "damperIn", "burnerUp", "burnerDown", "plugOut", "plugIn", "reductionBegun",
  "reductionEnded", "switchesLow", "switchesMedium", "switchesHigh", "lidPropped", "lidShut"];

/**
 * The notes, the latest first; each of the last hours can be taken back.
 * @param {(id: string) => Promise<object | null>} withdrawNote
 * @returns {(snapshot: Snapshot) => void}
 */
export function notesPanel(withdrawNote) {
  const list = byId("note-list");
  const problem = byId("note-problem");
  const draw = whenChanged(/** @param {Shown[]} notes */ (notes) => {
    list.replaceChildren(...(notes.length ? notes.map(row) : [make("li", { class: "note-none" }, words.notes.none)]));
  });

  /** @param {Shown} note */
  function row({ id, when, by, text, isRecent }) {
    return make("li", {},
      make("div", {},
        make("p", { class: "note-head" }, when, by ? ` · ${by}` : null),
        make("p", { class: "note-text" }, text)),
      isRecent ? takeBack(`${when}, ${text}`, problem, () => withdraw(id)) : null);
  }

  /** @param {string} id */
  async function withdraw(id) {
    const told = await withdrawNote(id);
    say(byId("note-quick-answer"), ""); // It may have said "Noted" of this very one.
    return told;
  }

  return (snapshot) => draw(snapshot.notes.map((note) => ({
    id: note.id,
    when: clock(note.time) ?? showElapsed(note.elapsed_s),
    by: note.by,
    text: note.text,
    isRecent: snapshot.elapsed_s - note.elapsed_s <= TAKEN_BACK_WITHIN_S,
  })));
}

/**
 * The common notes, each on a button of its own.
 * @param {AddNote} addNote
 * @returns {(snapshot: Snapshot) => void}
 */
export function quickNotes(addNote) {
  const place = byId("note-quick");
  const answer = byId("note-quick-answer");
  const draw = whenChanged(/** @param {string} heatedBy */ (heatedBy) => {
    place.replaceChildren(...(DONE_AT[heatedBy] ?? ALL).map((name) => button(words.notes.quick[name])));
  });

  /** @param {string} text */
  function button(text) {
    const made = make("button", { type: "button", class: "quick" }, text);
    // Tapped again after a failure it is the same note still.
    let id = "";
    made.addEventListener("click", async () => {
      made.setAttribute("disabled", "");
      say(answer, words.notes.saving);
      id ||= newId();
      try {
        const told = await addNote(text, id);
        id = "";
        say(answer, "accepted" in told ? told.message : words.notes.noted(text));
      } catch (error) {
        sayWhy(answer, error, words.notes.failed);
      } finally {
        made.removeAttribute("disabled");
      }
    });
    return made;
  }

  const forget = whenChanged(/** @param {string} _firing */ (_firing) => say(answer, ""));
  return (snapshot) => {
    forget(snapshot.firing?.id ?? "");
    draw(snapshot.kiln.kind);
  };
}

/** @param {AddNote} addNote */
export function noteForm(addNote) {
  // The same text tried again is the same note; another text is another.
  let draft = { text: "", id: "" };
  const form = byId("note-form");
  const text = /** @type {HTMLTextAreaElement} */ (byId("note-text"));
  const button = byId("note-save");
  const answer = byId("note-answer");
  const leftOver = byId("note-left");
  const count = () => {
    const left = text.maxLength - text.value.length;
    say(leftOver, left < FEW_LEFT ? words.notes.left(digits(left)) : "");
  };
  text.addEventListener("input", () => {
    say(answer, "");
    count();
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (!text.value.trim()) {
      say(answer, words.notes.empty);
      text.focus();
      return;
    }
    button.setAttribute("disabled", "");
    say(answer, words.notes.saving);
    if (draft.text !== text.value) draft = { text: text.value, id: newId() };
    try {
      const told = await addNote(draft.text, draft.id);
      draft = { text: "", id: "" };
      text.value = "";
      say(answer, "accepted" in told ? told.message : words.notes.saved);
      count();
    } catch (error) {
      sayWhy(answer, error, words.notes.failed);
    } finally {
      button.removeAttribute("disabled");
    }
  });
}
