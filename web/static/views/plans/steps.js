/** The fields of a plan's steps, each with the place where its mistake is told. */

import { make } from "../../dom.js";
import { shownIn } from "./figures.js";
import { words as planWords } from "./words.js";

/** @typedef {import("./editor.js").FormStep} FormStep */
/** @typedef {import("../../types.js").Unit} Unit */

/**
 * @param {HTMLElement} list
 * @param {{onTyped: () => void, onMove: (at: number, by: number) => void, onRemove: (at: number) => void, onAdd: (at: number) => void}} acts
 */
export function stepFields(list, { onTyped, onMove, onRemove, onAdd }) {
  /** @param {FormStep[]} steps @param {Unit} unit */
  function draw(steps, unit) {
    list.replaceChildren(...steps.map((step, at) => row(step, at, steps.length, unit)));
  }

  /** @param {FormStep} step @param {number} at @param {number} count @param {Unit} unit */
  function row(step, at, count, unit) {
    const buttons = make("div", { class: "plan-step-acts" },
      acting("up", planWords.act.up, planWords.actOn(planWords.act.up, at + 1), at === 0, () => onMove(at, -1)),
      acting("down", planWords.act.down, planWords.actOn(planWords.act.down, at + 1), at === count - 1, () => onMove(at, 1)),
      acting("add", planWords.act.add, planWords.actOn(planWords.act.add, at + 1), false, () => onAdd(at + 1)),
      acting("remove", planWords.act.remove, planWords.actOn(planWords.act.remove, at + 1), count === 1, () => onRemove(at)));
    return make("li", { class: "plan-step" },
      make("fieldset", { "data-step": String(at) },
        make("legend", {}, planWords.step(at + 1)),
        make("div", { class: "plan-step-figures" },
          field(at, "rate", planWords.rate(unit), shownIn(step.rate, unit, "rate"), "", (text) => { step.rate = { text, unit }; }),
          field(at, "to", planWords.to(unit), shownIn(step.to, unit, "temp"), "", (text) => { step.to = { text, unit }; }),
          field(at, "hold_min", planWords.hold, step.hold, "0", (text) => { step.hold = text; })),
        field(at, "note", planWords.note, step.note, "", (text) => { step.note = text; }),
        buttons));
  }

  /**
   * @param {number} at @param {string} key @param {string} label @param {string} value
   * @param {string} placeholder @param {(text: string) => void} use
   */
  function field(at, key, label, value, placeholder, use) {
    const id = `step-${at}-${key}`;
    const line = make("p", { class: "problem", id: `mistake-${id}`, "data-mistake": `step.${at}.${key}` });
    const input = /** @type {HTMLInputElement} */ (make("input", {
      id, type: "text", autocomplete: "off", placeholder, "data-part": key, "aria-describedby": line.id,
      ...(key === "note" ? { maxlength: "200" } : { inputmode: "decimal", maxlength: "20" }),
    }));
    input.value = value;
    input.addEventListener("input", () => {
      use(input.value);
      onTyped();
    });
    return make("div", { class: `plan-field plan-field-${key}` }, make("label", { for: id }, label), input, line);
  }

  /** @param {string} part @param {string} text @param {string} label @param {boolean} isOff @param {() => void} act */
  function acting(part, text, label, isOff, act) {
    return make("button", { type: "button", class: "plan-act", "aria-label": label, "data-part": part, disabled: isOff, onclick: act }, text);
  }

  return {
    draw,
    /** @param {number} at @param {string} part the button or field; where it is off, the first field */
    focus(at, part) {
      const step = list.querySelector(`[data-step="${at}"]`);
      const wanted = /** @type {HTMLElement | null} */ (step?.querySelector(`[data-part="${part}"]:not([disabled])`)
        ?? step?.querySelector('[data-part="to"]') ?? null);
      wanted?.focus();
    },
  };
}
