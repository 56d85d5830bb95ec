/**
 * What people wrote of a firing, and two forms for what comes to mind later: a note, and what a real
 * cone showed. Knows forms and texts, no heat-work.
 */

import { CONE_NAMES, angleOf, coneDrawing } from "../../cones.js";
import { make, say, sayWhy } from "../../dom.js";
import { addressOf } from "../../places.js";
import { newId } from "../../send.js";
import { words } from "../../words.js";
import { TIPS, choice, chosen, takeBack } from "../watch/witness.js";
import { addPastLook, addPastNote, addressOfFiring, withdrawPastNote } from "./asking.js";
import { FOREIGN, momentOf, momentTyped } from "./figures.js";
import { words as logWords } from "./words.js";

/** @typedef {import("./asking.js").Firing} Firing */

/** Who wrote what stood beside the readings of a log that was taken in; nobody has mistapped that. */
const BY_LOG = "log";

/**
 * @param {Firing} firing
 * @param {() => void} onTakenBack
 * @returns {Node[]}
 */
export function writtenPart(firing, onTakenBack) {
  const problem = make("p", { class: "problem", role: "status" });

  /** @param {import("../../types.js").Note} note */
  function row(note) {
    const when = momentOf(firing.started_at, note.elapsed_s);
    const button = takeBack(`${when}, ${note.text}`, problem, async () => {
      const told = await withdrawPastNote(firing.id, note.id);
      onTakenBack();
      return told;
    });
    return make("li", {},
      make("div", {},
        make("p", { class: "note-head" }, when, note.by ? ` · ${note.by}` : null),
        make("p", { class: "note-text" }, note.text)),
      firing.mode === "replay" && note.by === BY_LOG ? null : button);
  }

  const rows = firing.notes_written.map(row);
  return [
    make("ul", { class: "note-list look-list" }, ...(rows.length ? rows : [make("li", { class: "note-none" }, words.notes.none)])),
    problem,
  ];
}

const MOST_LEVEL = 3;

/**
 * What was in it and what came out of it.
 * @param {Firing} firing
 * @param {typeof import("../unload/words.js").words | null} ticking
 * @returns {Node[]}
 */
export function unloadedPart(firing, ticking) {
  const say = logWords.unloaded;
  const accounts = firing.accounts.filter((one) => one.text).map((one) => make("li", {},
    make("strong", {}, logWords.unloaded.topics[one.topic] ?? one.topic),
    make("p", { class: "note-text" }, one.text),
    one.by ? make("p", { class: "note-head" }, one.by) : null));
  const standing = firing.found.filter((one) => one.level > 0);
  const isGraded = standing.some((one) => one.level > 1);
  /** @param {number} level */
  const amount = (level) => ticking?.ware.level[/** @type {1 | 2 | 3} */ (Math.min(level, MOST_LEVEL))];
  const found = standing.map((one) => make("li", {},
    ticking?.defects[one.key] ? make("strong", {}, ticking.defects[one.key]) : make("strong", FOREIGN, one.key.replace(/[-_]/g, " ")),
    make("span", {}, [isGraded ? amount(one.level) : null, one.place, one.text, one.by].filter(Boolean).join(" · "))));
  const pictures = firing.pictures.map((one) => {
    const base = `${addressOfFiring(firing.id)}/photos/${one.number}`;
    const told = one.caption ?? say.photo;
    return make("li", {}, make("a", { href: base, target: "_blank", rel: "noopener" },
      make("img", { src: `${base}/small`, alt: told, loading: "lazy" })),
      one.caption || one.by ? make("p", { class: "note-head" }, [one.caption, one.by].filter(Boolean).join(" · ")) : null);
  });
  return [
    accounts.length ? make("ul", { class: "log-lines" }, ...accounts) : null,
    found.length ? make("h3", {}, say.found) : null,
    found.length ? make("ul", { class: "log-lines" }, ...found) : null,
    pictures.length ? make("ul", { class: "log-photos" }, ...pictures) : null,
    accounts.length + found.length + pictures.length ? null : make("p", { class: "note-none" }, say.nothing),
    make("p", { class: "log-buttons" }, make("a", { href: addressOf("unload", firing.id), class: "small" }, say.go)),
  ].filter((one) => one !== null);
}

/**
 * A form that is sent once however often it is tried.
 * @param {HTMLElement} form
 * @param {HTMLElement} button
 * @param {HTMLElement} answer
 * @param {() => string | object} read what is to be sent, or why it can't be
 * @param {(body: any) => Promise<object>} send
 * @param {() => void} onKept
 */
function sending(form, button, answer, read, send, onKept) {
  let draft = { text: "", id: "" };
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const body = read();
    if (typeof body === "string") {
      say(answer, body);
      return;
    }
    const text = JSON.stringify(body);
    if (draft.text !== text) draft = { text, id: newId() };
    button.setAttribute("disabled", "");
    say(answer, words.notes.saving);
    try {
      const told = await send({ ...body, client_id: draft.id });
      draft = { text: "", id: "" };
      say(answer, "accepted" in told ? /** @type {import("../../types.js").Accepted} */ (told).message : words.notes.saved);
      onKept();
    } catch (error) {
      sayWhy(answer, error, words.notes.failed);
    } finally {
      button.removeAttribute("disabled");
    }
  });
}

/** @param {string} id */
function momentField(id) {
  return /** @type {HTMLInputElement} */ (make("input", { type: "text", id, inputmode: "numeric", placeholder: "7:30", maxlength: "7", class: "log-moment" }));
}

/**
 * @param {Firing} firing
 * @param {() => void} onKept
 */
export function noteForm(firing, onKept) {
  const text = /** @type {HTMLTextAreaElement} */ (make("textarea", { id: "log-note", maxlength: "2000", rows: "2" }));
  const at = momentField("log-note-at");
  const button = make("button", { type: "submit", class: "small" }, words.notes.save);
  const answer = make("p", { class: "note-answer", role: "status" });
  const form = make("form", { class: "log-form" },
    make("div", {}, make("label", { for: "log-note" }, logWords.written.note), text),
    make("div", {}, make("label", { for: "log-note-at" }, logWords.written.noteAt), at),
    make("div", { class: "note-row" }, button), answer);
  sending(form, button, answer, () => {
    const elapsed = momentTyped(at.value);
    if (!text.value.trim()) return words.notes.empty;
    return elapsed === undefined ? logWords.written.noMoment : { text: text.value, elapsed_s: elapsed };
  }, (body) => addPastNote(firing.id, body), () => {
    text.value = at.value = "";
    onKept();
  });
  return make("details", { class: "more" }, make("summary", {}, logWords.written.addNote), form);
}

/**
 * @param {Firing} firing
 * @param {() => void} onKept
 */
export function lookForm(firing, onKept) {
  const cone = /** @type {HTMLSelectElement} */ (make("select", { id: "log-look-cone" },
    make("option", { value: "" }, logWords.written.whichCone),
    ...CONE_NAMES.map((name) => make("option", { value: name }, words.cones.name(name)))));
  cone.value = firing.facts.plan?.target_cone ?? "";
  const shelf = /** @type {HTMLInputElement} */ (make("input", { type: "text", id: "log-look-shelf", maxlength: "60" }));
  const at = momentField("log-look-at");
  const button = make("button", { type: "submit", class: "small" }, words.witness.save);
  const answer = make("p", { class: "note-answer", role: "status" });
  const several = firing.channels.length > 1;
  /** @type {string | null} how its tip stands, as the server spells it */
  let tip = null;
  /** @type {import("../watch/tip.js").Dial | null} a cone to be dragged, once the form has been opened */
  let dial = null;
  const tips = make("div", { class: "choices tips" }, ...TIPS.map((one) =>
    choice("log-tip", one, coneDrawing(angleOf(one)), make("span", {}, words.witness.tipChoice(one)))));
  const form = make("form", { class: "log-form" },
    make("div", {}, make("label", { for: "log-look-cone" }, words.witness.cone), cone),
    make("fieldset", {}, make("legend", { id: "look-tip-ask" }, words.witness.tipAsk), tips),
    several ? make("fieldset", {}, make("legend", {}, words.witness.channel),
      make("div", { class: "choices" }, ...firing.channels.map((name) => choice("log-channel", `=${name}`, name)),
        choice("log-channel", "", words.witness.noChannel))) : null,
    make("div", {}, make("label", { for: "log-look-shelf" }, words.witness.shelf), shelf),
    make("div", {}, make("label", { for: "log-look-at" }, logWords.written.lookAt), at),
    make("div", { class: "note-row" }, button), answer);
  sending(form, button, answer, () => {
    const elapsed = momentTyped(at.value);
    const channel = chosen(form, "log-channel");
    if (!cone.value) return words.witness.noCone;
    if (!tip) return words.witness.noTip;
    if (several && !channel) return words.witness.whichChannel;
    if (elapsed === undefined) return logWords.written.noMoment;
    return {
      cone: cone.value, clock: tip, channel: channel?.value.slice(1) || null,
      shelf: shelf.value.trim() || null, elapsed_s: elapsed,
    };
  }, (body) => addPastLook(firing.id, body), () => {
    stand(null);
    onKept();
  });
  tips.addEventListener("change", () => stand(chosen(form, "log-tip")?.value ?? null));
  const details = make("details", { class: "more look" }, make("summary", {}, logWords.written.addLook), form);
  details.addEventListener("toggle", async () => {
    try {
      const { tipDial } = await import("../watch/tip.js");
      dial = await tipDial(stand);
      tips.before(dial.element);
      dial.show(tip);
    } catch (error) {
      console.error(error); // What it tells can be tapped as well.
    }
  }, { once: true });
  return details;

  /** The drawn cone and the choices show the same. @param {string | null} seen */
  function stand(seen) {
    tip = seen;
    dial?.show(seen);
    for (const input of form.querySelectorAll('input[name="log-tip"]')) {
      const radio = /** @type {HTMLInputElement} */ (input);
      radio.checked = radio.value === seen;
    }
  }
}
