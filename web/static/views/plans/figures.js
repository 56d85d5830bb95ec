/**
 * Figures as a person types them, in the scale that is shown. Each keeps what was typed and in which
 * scale, so that to and fro between °C and °F nothing is rounded twice.
 */

import { differenceFromC, fromC } from "../../units.js";

/** @typedef {import("../../types.js").Unit} Unit */
/** @typedef {{text: string, unit: Unit}} Typed */

const F_PER_C = 1.8;
const ICE_F = 32;
const NUMBER = /^[+\-\u2212]?\d+([.,]\d{1,2}|\.\d*)?$/;

/** @param {string | number | null} figure @param {Unit} unit @returns {Typed} */
export function typed(figure, unit) {
  return { text: figure === null ? "" : String(figure), unit };
}

/**
 * The text in another scale; what is no number stays as it is.
 * @param {Typed} figure
 * @param {Unit} unit
 * @param {"temp" | "rate"} what
 */
export function shownIn({ text, unit: from }, unit, what) {
  if (from === unit || !NUMBER.test(text.trim())) return text;
  const value = Number(text.trim().replace(",", ".").replace("\u2212", "-"));
  const inC = from === "C" ? value : what === "temp" ? (value - ICE_F) / F_PER_C : value / F_PER_C;
  const shown = what === "temp" ? fromC(inC, unit) : differenceFromC(inC, unit);
  return String(Math.round(shown * 100) / 100);
}
