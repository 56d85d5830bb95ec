/** Dates, lengths and rates of past firings as this phone writes them; as units.js. */

import { language, locale } from "../../settings.js";
import { clock, differenceFromC, showDifference, showElapsed } from "../../units.js";
import { words } from "../../words.js";

/** @typedef {import("../../types.js").Unit} Unit */

const MINUS = "\u2212";
const days = new Intl.DateTimeFormat(locale, { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" });
const one = new Intl.NumberFormat(locale, { minimumFractionDigits: 1, maximumFractionDigits: 1 });

/**
 * The day of a label, on the kiln's own calendar: "25 Nov 2026".
 * @param {string | null} label
 */
export function dateOf(label) {
  const found = label && /^(\d{4})-(\d\d)-(\d\d)/.exec(label);
  if (!found) return null;
  return days.format(Date.UTC(Number(found[1]), Number(found[2]) - 1, Number(found[3]))).replace(/\s/g, "\u00a0");
}

/** @param {string | null} label */
export function dayAndTime(label) {
  const day = dateOf(label);
  const at = clock(label);
  return day && at ? `${day}, ${at}` : day;
}

/**
 * A moment of a firing: the kiln's clock and how long it had gone on, or that alone.
 * @param {string | null} startedAt
 * @param {number} elapsedS
 */
export function momentOf(startedAt, elapsedS) {
  const at = clock(startedAt, elapsedS);
  return at ? `${at} (${showElapsed(elapsedS)})` : showElapsed(elapsedS);
}

/** @param {number} rateCPerH @param {Unit} unit */
export function showRate(rateCPerH, unit) {
  return words.anHour(showDifference(Math.abs(rateCPerH), unit));
}

/** A number to one decimal, without its sign. @param {number} value */
export function tenths(value) {
  return one.format(Math.abs(value));
}

/** @param {number} differenceC @param {Unit} unit */
export function fineDifference(differenceC, unit) {
  return `${tenths(differenceFromC(differenceC, unit))}\u202f°${unit}`;
}

/** @param {number} value @param {string} shown without a sign */
export function signed(value, shown) {
  return `${value < 0 ? MINUS : "+"}${shown}`;
}

/** Hours and minutes on the clock of a firing: "12:30". @param {number} seconds */
export function hoursMinutes(seconds) {
  const minutes = Math.round(Math.abs(seconds) / 60);
  return `${seconds < 0 && minutes ? MINUS : ""}${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
}

/**
 * What a person types as a moment of a firing, "7:30" or "7" hours.
 * @param {string} text
 * @returns {number | null | undefined} seconds; null where nothing is typed, undefined for no time
 */
export function momentTyped(text) {
  if (!text.trim()) return null;
  const found = /^\s*(\d{1,4})(?:[:.](\d\d))?\s*h?\s*$/.exec(text);
  if (!found || Number(found[2] ?? 0) > 59) return undefined;
  return Number(found[1]) * 3600 + Number(found[2] ?? 0) * 60;
}

/**
 * The language of what only the server's English says, for an element that shows it.
 * @type {Record<string, string>}
 */
export const FOREIGN = language === "en" ? {} : { lang: "en" };
