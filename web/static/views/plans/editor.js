/**
 * A copy of a plan in a form: steps are added, taken away, moved; the server tells at once what
 * becomes of it and what does not fit. Kept as a new file; what was there stays as it is. What is
 * typed survives a tap into another view.
 */

import { CONE_NAMES } from "../../cones.js";
import { make, say, sayWhy } from "../../dom.js";
import { addressOf } from "../../places.js";
import { sayTheirs } from "../../send.js";
import { words } from "../../words.js";
import { askExplained, askPlan, savePlan } from "./asking.js";
import { cautions, drawing, figures, inShort, sections } from "./explained.js";
import { shownIn, typed } from "./figures.js";
import { holdBox } from "./hold.js";
import { sayMistakes } from "./mistakes.js";
import { noteSaved } from "./shown.js";
import { stepFields } from "./steps.js";
import { words as planWords } from "./words.js";

/** @typedef {import("./asking.js").Draft} Draft */
/** @typedef {import("./asking.js").Mistake} Mistake */
/** @typedef {import("./figures.js").Typed} Typed */
/** @typedef {{rate: Typed, to: Typed, hold: string, note: string}} FormStep */

/**
 * @typedef {object} Form what stands in the form
 * @property {string} name
 * @property {string} kind
 * @property {string} atmosphere
 * @property {string} cone
 * @property {FormStep[]} steps
 * @property {Draft["bands"]} bands
 * @property {import("../../types.js").Unit} bandUnit
 */

const WAIT_MS = 350;
const KINDS = /** @type {const} */ (["glaze", "bisque", "other"]);
const ATMOSPHERES = /** @type {const} */ (["oxidation", "reduction"]);
const BAND_TEMPS = ["from", "to"];

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 */
export async function editor(root, { live, place, signal }) {
  const id = place.name ?? "";
  const storeKey = `spyhole.plan.${id}`;
  const problem = make("p", { class: "problem", role: "status" });
  root.append(
    make("p", { class: "plan-back" }, make("a", { href: addressOf("plans", id) }, planWords.leaveEditor)), problem);
  let original;
  try {
    original = await askPlan(id, live.unit());
  } catch (error) {
    sayWhy(problem, error);
    return;
  }
  if (signal.aborted) return;
  if (!original.draft) {
    sayTheirs(problem, original.entry.problem ?? "", original.entry.why);
    return;
  }
  const draft = original.draft;
  const kept = keptForm(storeKey);
  let form = kept ?? formOf(draft);
  let unit = live.unit();
  let asked = 0;
  let timer = 0;
  let isSaving = false;
  signal.addEventListener("abort", () => clearTimeout(timer));

  const name = /** @type {HTMLInputElement} */ (make("input", { id: "plan-name", type: "text", maxlength: "200", autocomplete: "off" }));
  const kind = select("plan-kind", KINDS.map((one) => [one, planWords.kind[one]]));
  const atmosphere = select("plan-atmosphere", ATMOSPHERES.map((one) => [one, planWords.atmosphere[one]]));
  const cone = select("plan-cone", [["", planWords.noTarget], ...CONE_NAMES.map((one) => /** @type {[string, string]} */ ([one, words.cones.name(one)]))]);
  const steps = make("ol", { class: "plan-steps-form" });
  const stepsMistake = mistakeLine("step");
  const heard = make("p", { class: "heard-only", role: "status" });
  const short = make("p", { class: "plan-short", role: "status" });
  const save = make("button", { type: "submit", class: "small plan-save-button" }, planWords.save);
  const preview = make("div", { class: "plan-preview" });
  const formElement = make("form", { class: "plan-form", novalidate: true },
    kept ? restored() : null,
    make("section", { class: "panel", "aria-labelledby": "plan-about-heading" },
      make("h2", { id: "plan-about-heading" }, planWords.about),
      labelled(planWords.name, name, "name"),
      make("p", { class: "small-print" }, planWords.nameWhy),
      make("div", { class: "plan-choices" },
        labelled(planWords.kindLabel, kind, "kind"),
        labelled(planWords.atmosphereLabel, atmosphere, "atmosphere"),
        labelled(planWords.target, cone, "target_cone"))),
    make("section", { class: "panel", "aria-labelledby": "plan-steps-heading" },
      make("h2", { id: "plan-steps-heading" }, planWords.steps),
      make("p", { class: "small-print plan-why" }, planWords.rateWhy),
      steps, stepsMistake,
      button(planWords.addStep, () => addStep(form.steps.length)),
      form.bands.length ? bandList(draft.bands) : null),
    make("div", { class: "plan-save" }, short, save));
  const fields = stepFields(steps, { onTyped: changed, onMove: moveStep, onRemove: removeStep, onAdd: addStep });
  const hold = holdBox((one) => askExplained(draftOf(form, unit), unit, one), form.cone || null, () => unit, useHold);
  root.append(make("div", { class: "plan-editor" }, formElement, make("div", { class: "plan-side" }, hold, preview)), heard);
  put();

  for (const [input, key] of /** @type {const} */ ([[name, "name"], [kind, "kind"], [atmosphere, "atmosphere"], [cone, "cone"]])) {
    input.addEventListener("input", () => {
      form[key] = input.value;
      changed();
    });
  }
  formElement.addEventListener("submit", (event) => {
    event.preventDefault();
    keep();
  });
  live.listen({
    onSnapshot() {
      if (live.unit() === unit) return;
      unit = live.unit();
      fields.draw(form.steps, unit);
      tell();
    },
  }, signal);
  tell();

  function put() {
    name.value = form.name;
    kind.value = form.kind;
    atmosphere.value = form.atmosphere;
    cone.value = form.cone;
    fields.draw(form.steps, unit);
  }

  function restored() {
    const line = make("p", { class: "panel plan-restored" }, planWords.restored, " ");
    line.append(button(planWords.startAgain, () => {
      form = formOf(draft);
      forget(storeKey);
      put();
      tell();
      line.remove();
      name.focus();
    }));
    return line;
  }

  /** Something was typed: remember it, and soon ask what it means. */
  function changed() {
    remember(storeKey, form);
    clearTimeout(timer);
    timer = setTimeout(tell, WAIT_MS);
  }

  /** @param {number} at */
  function addStep(at) {
    const before = form.steps[at - 1];
    form.steps.splice(at, 0, { rate: typed(before ? before.rate.text : null, before?.rate.unit ?? unit), to: typed(null, unit), hold: "", note: "" });
    redraw(at, "to", planWords.added(at + 1));
  }

  /** @param {number} at */
  function removeStep(at) {
    form.steps.splice(at, 1);
    redraw(Math.min(at, form.steps.length - 1), "to", planWords.removed(at + 1));
  }

  /** @param {number} at @param {number} by */
  function moveStep(at, by) {
    const [step] = form.steps.splice(at, 1);
    form.steps.splice(at + by, 0, step);
    redraw(at + by, by < 0 ? "up" : "down", planWords.moved(at + 1, at + by + 1));
  }

  /** @param {number} at @param {string} part @param {string} said */
  function redraw(at, part, said) {
    fields.draw(form.steps, unit);
    fields.focus(at, part);
    say(heard, said);
    changed();
  }

  /** @param {import("./asking.js").HoldFor} answer */
  function useHold(answer) {
    form.steps[answer.step].hold = String(answer.hold_min);
    for (const other of answer.others) form.steps[other].hold = "";
    fields.draw(form.steps, unit);
    changed();
  }

  /** Ask what becomes of the draft as it stands; only the latest answer counts. */
  async function tell() {
    asked += 1;
    const now = asked;
    try {
      const answer = await askExplained(draftOf(form, unit), unit);
      if (signal.aborted || now !== asked) return;
      show(answer.mistakes);
      if (answer.explained) draw(answer.explained);
    } catch (error) {
      if (now === asked) sayWhy(short, error);
    }
  }

  /** @param {import("./asking.js").Explained} explained */
  function draw(explained) {
    say(short, inShort(explained, unit));
    preview.classList.remove("plan-past");
    preview.replaceChildren(
      make("section", { class: "panel", "aria-labelledby": "plan-preview-heading" },
        make("h2", { id: "plan-preview-heading" }, planWords.preview),
        figures(explained, unit), drawing(explained)),
      ...[cautions(explained, unit)].filter((one) => one !== null),
      make("section", { class: "panel", "aria-label": planWords.explained }, ...sections(explained, unit)));
  }

  /** Each mistake beside its field. @param {Mistake[]} mistakes */
  function show(mistakes) {
    for (const line of formElement.querySelectorAll("[data-mistake]")) {
      const field = /** @type {HTMLElement} */ (line).dataset.mistake;
      sayMistakes(line, mistakes.filter((one) => one.field === field));
      const input = formElement.querySelector(`[aria-describedby~="${line.id}"]`);
      if (line.textContent) input?.setAttribute("aria-invalid", "true");
      else input?.removeAttribute("aria-invalid");
    }
    if (!mistakes.length) return;
    say(short, planWords.mistakes(mistakes.length));
    preview.classList.add("plan-past");
    const heading = preview.querySelector("#plan-preview-heading");
    if (heading) say(heading, planWords.past);
  }

  async function keep() {
    if (isSaving) return;
    isSaving = true;
    clearTimeout(timer);
    asked += 1;
    save.setAttribute("disabled", "");
    say(short, words.notes.saving);
    try {
      const { mistakes, saved } = await savePlan(draftOf(form, unit));
      show(mistakes);
      if (saved) {
        forget(storeKey);
        noteSaved(saved.id);
        location.hash = addressOf("plans", saved.id);
        return;
      }
      focusMistake();
    } catch (error) {
      sayWhy(short, error, words.notes.failed);
    } finally {
      isSaving = false;
      save.removeAttribute("disabled");
    }
  }

  function focusMistake() {
    /** @type {HTMLElement | null} */ (formElement.querySelector('[aria-invalid="true"]'))?.focus();
  }
}

/** @param {Draft} draft @returns {Form} */
function formOf(draft) {
  return {
    name: planWords.copyOf(draft.name),
    kind: draft.kind,
    atmosphere: draft.atmosphere,
    cone: draft.target_cone ?? "",
    steps: draft.steps.map((step) => ({
      rate: typed(step.rate, draft.units), to: typed(step.to, draft.units),
      hold: step.hold_min === null ? "" : String(step.hold_min), note: step.note,
    })),
    bands: draft.bands,
    bandUnit: draft.units,
  };
}

/** @param {Form} form @param {import("../../types.js").Unit} unit @returns {Draft} */
function draftOf(form, unit) {
  return {
    name: form.name,
    units: unit,
    kind: form.kind,
    atmosphere: form.atmosphere,
    target_cone: form.cone || null,
    steps: form.steps.map((step) => ({
      rate: shownIn(step.rate, unit, "rate"), to: shownIn(step.to, unit, "temp"), hold_min: step.hold, note: step.note,
    })),
    bands: form.bands.map((band) => Object.fromEntries(Object.entries(band).map(([key, value]) => [
      key,
      typeof value === "number"
        ? Number(shownIn(typed(value, form.bandUnit), unit, BAND_TEMPS.includes(key) ? "temp" : "rate"))
        : value,
    ]))),
  };
}

/** @param {string} key @returns {Form | null} */
function keptForm(key) {
  try {
    const kept = JSON.parse(sessionStorage.getItem(key) ?? "null");
    return Array.isArray(kept?.steps) ? kept : null;
  } catch {
    return null;
  }
}

/** @param {string} key */
function forget(key) {
  try {
    sessionStorage.removeItem(key);
  } catch {
    // Nothing was kept.
  }
}

/** @param {string} key @param {Form} form */
function remember(key, form) {
  try {
    sessionStorage.setItem(key, JSON.stringify(form));
  } catch {
    // Not remembered, but there as long as the view is.
  }
}

/** @param {string} id @param {(readonly [string, string])[]} choices */
function select(id, choices) {
  return /** @type {HTMLSelectElement} */ (make("select", { id },
    ...choices.map(([value, text]) => make("option", { value }, text))));
}

/** @param {string} text @param {() => void} act */
function button(text, act) {
  return make("button", { type: "button", class: "small", onclick: act }, text);
}

/** @param {string} field */
function mistakeLine(field) {
  return make("p", { class: "problem", id: `mistake-${field.replaceAll(".", "-")}`, "data-mistake": field });
}

/** @param {string} text @param {HTMLElement} input @param {string} field */
function labelled(text, input, field) {
  const line = mistakeLine(field);
  input.setAttribute("aria-describedby", line.id);
  return make("div", {}, make("label", { for: input.id }, text), input, line);
}

/** Bands are kept as they are; the form says which. @param {Draft["bands"]} bands */
function bandList(bands) {
  return make("div", {},
    make("p", { class: "small-print" }, planWords.bands(bands.map((band) => String(band.name)).join(", "))),
    ...bands.map((_, at) => mistakeLine(`band.${at}`)));
}
