/**
 * From °C and seconds to what people read, in the numbers and clock of this phone. Knows scales,
 * clocks and number formats, no words beyond unit signs; a number never breaks from its unit. Clock times are read off the label's own digits: the kiln's clock, in the
 * kiln's place, whatever zone the phone is in.
 */

import { clockShown, locale } from "./settings.js";

/** @typedef {import("./types.js").Unit} Unit */

// What the server's sentence calls on plan and standing: as in supervisor/core/watch/sentence.py,
// so that the panels never say otherwise.
export const ON_TIME_S = 180;
export const STEADY_C_PER_H = 5;
/** Above this a kiln is to be kept shut, as the server's sentence says. */
export const HOT_C = 100;

const MINUS = "\u2212";
const THIN = "\u202f";
const DAY_S = 86400;
const whole = new Intl.NumberFormat(locale, { maximumFractionDigits: 0 });
/** The two faces of the clock; read off UTC, which the labels' own digits are taken for. */
const faces = {
  24: new Intl.DateTimeFormat(locale, { hour: "2-digit", minute: "2-digit", hourCycle: "h23", timeZone: "UTC" }),
  12: new Intl.DateTimeFormat(locale, { hour: "numeric", minute: "2-digit", hour12: true, timeZone: "UTC" }),
};

/** A whole number as this phone writes it. @param {number} value */
export function digits(value) {
  const rounded = Math.round(value);
  return rounded < 0 ? MINUS + whole.format(-rounded) : whole.format(Math.abs(rounded));
}

/**
 * @param {number} tempC
 * @param {Unit} unit
 */
export function fromC(tempC, unit) {
  return unit === "C" ? tempC : tempC * 1.8 + 32;
}

/**
 * @param {number} differenceC
 * @param {Unit} unit
 */
export function differenceFromC(differenceC, unit) {
  return unit === "C" ? differenceC : differenceC * 1.8;
}

/**
 * @param {number} tempC
 * @param {Unit} unit
 */
export function showTemp(tempC, unit) {
  return `${digits(fromC(tempC, unit))}${THIN}°${unit}`;
}

/**
 * @param {number} differenceC
 * @param {Unit} unit
 */
export function showDifference(differenceC, unit) {
  return `${digits(differenceFromC(differenceC, unit))}${THIN}°${unit}`;
}

/**
 * A difference with its sign: "+4 °C", "−9 °F", "0 °C".
 * @param {number} differenceC
 * @param {Unit} unit
 */
export function showSigned(differenceC, unit) {
  const degrees = Math.round(differenceFromC(differenceC, unit));
  return `${degrees > 0 ? "+" : ""}${digits(degrees)}${THIN}°${unit}`;
}

/**
 * How unsure a difference is; never nothing.
 * @param {number} sigmaC
 * @param {Unit} unit
 */
export function showSigma(sigmaC, unit) {
  return `${digits(Math.max(differenceFromC(sigmaC, unit), 1))}${THIN}°${unit}`;
}

/**
 * A length of time, in two parts at most: "40 s", "12 min", "5 h 10 min", "2 d 3 h".
 * @param {number} seconds
 */
export function showDuration(seconds) {
  const s = Math.max(0, Math.round(seconds));
  if (s < 60) return `${s}${THIN}s`;
  const min = Math.round(s / 60);
  if (min < 60) return `${min}${THIN}min`;
  const h = Math.floor(min / 60);
  if (h < 48) return min % 60 ? `${h}${THIN}h ${min % 60}${THIN}min` : `${h}${THIN}h`;
  return `${Math.floor(h / 24)}${THIN}d${h % 24 ? ` ${h % 24}${THIN}h` : ""}`;
}

/**
 * Seconds since midnight on the label's own clock.
 * @param {string | null} label ISO 8601
 * @returns {number | null}
 */
export function secondsOfDay(label) {
  const found = label && /T(\d\d):(\d\d)(?::(\d\d))?/.exec(label);
  return found ? Number(found[1]) * 3600 + Number(found[2]) * 60 + Number(found[3] ?? 0) : null;
}

/**
 * The clock's hands `laterS` seconds after a label: "05:50", or "5:50 am".
 * @param {string | null} label
 * @param {number} [laterS]
 * @returns {string | null}
 */
export function clock(label, laterS = 0) {
  const start = secondsOfDay(label);
  if (start === null) return null;
  const second = (((start + laterS) % DAY_S) + DAY_S) % DAY_S;
  return faces[clockShown()].format(new Date(second * 1000)).replace(/\s/g, "\u00a0");
}

const days = new Intl.DateTimeFormat(locale, { day: "numeric", month: "short", timeZone: "UTC" });

/**
 * Day and time of a label, by the kiln's own clock: "15 Mar, 05:50".
 * @param {string | null} label
 * @returns {string | null}
 */
export function dayAndClock(label) {
  const found = label && /^(\d{4})-(\d\d)-(\d\d)T/.exec(label);
  if (!found) return null;
  const day = days.format(Date.UTC(Number(found[1]), Number(found[2]) - 1, Number(found[3])));
  return `${day.replace(/\s/g, "\u00a0")}, ${clock(label)}`;
}

/**
 * A text of the server's in which no number stands at a line's end with its unit on the next.
 * @param {string} text
 */
export function tight(text) {
  return text.replace(/(\d) (?=°|min\b|minutes?\b|h\b|hours?\b|s\b|seconds?\b|%|×)/g, "$1\u00a0")
    .replace(/([Cc]one) (?=\d)/g, "$1\u00a0");
}

/**
 * Time since the start as on a stop-watch: "7:05 h".
 * @param {number} elapsedS
 */
export function showElapsed(elapsedS) {
  const minutes = Math.max(0, Math.round(elapsedS / 60));
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}${THIN}h`;
}
