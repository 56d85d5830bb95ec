/**
 * What the person at this phone has chosen: language, scale, clock. Kept in the browser; where
 * nothing is chosen the browser's own languages decide, and for the scale the kiln's owner.
 */

/** @typedef {import("./types.js").Unit} Unit */
/** @typedef {"en" | "de"} Language */
/** @typedef {"24" | "12"} ClockFace */

/** The languages there are, and the country whose numbers are meant where the browser names none. */
export const LANGUAGES = /** @type {const} */ ({ en: "en-GB", de: "de-DE" });

const wanted = navigator.languages?.length ? navigator.languages : [navigator.language ?? ""];

/** @type {Language} */
export const language = /** @type {Language | null} */ (remembered("language", Object.keys(LANGUAGES))) ??
  languageOf(wanted);

/** The browser's own variety of the language, such as "en-US": how it writes numbers and times. */
export const locale = wanted.find((tag) => isOf(tag, language) && isKnown(tag)) ?? LANGUAGES[language];

/** @type {ClockFace} */
let clockFace = /** @type {ClockFace | null} */ (remembered("clock", ["24", "12"])) ??
  (new Intl.DateTimeFormat(locale, { hour: "numeric" }).resolvedOptions().hour12 ? "12" : "24");

/** @returns {ClockFace} */
export function clockShown() {
  return clockFace;
}

/** @param {ClockFace} face */
export function chooseClock(face) {
  clockFace = face;
  remember("clock", face);
}

/** The page is to be loaded anew after it. @param {Language} chosen */
export function chooseLanguage(chosen) {
  remember("language", chosen);
}

/** @returns {Unit | null} null: the owner's */
export function chosenUnit() {
  return /** @type {Unit | null} */ (remembered("unit", ["C", "F"]));
}

/** @param {Unit} unit */
export function rememberUnit(unit) {
  remember("unit", unit);
}

/**
 * Whether something was chosen that is on or off, such as the alarm's sound.
 * @param {string} what
 * @param {boolean} [choose] false: only ask
 */
export function remembering(what, choose = true) {
  if (choose) remember(what, "on");
  return remembered(what, ["on"]) !== null;
}

/** @param {string} what */
export function forgetting(what) {
  remember(what, "off");
}

/**
 * @param {readonly string[]} tags as the browser lists them
 * @returns {Language} the first that there is, English for all others
 */
export function languageOf(tags) {
  const found = tags.find((tag) => Object.keys(LANGUAGES).some((one) => isOf(tag, one)));
  return /** @type {Language} */ (found?.slice(0, 2).toLowerCase() ?? "en");
}

/** @param {string} tag @param {string} one */
function isOf(tag, one) {
  return tag.toLowerCase().split("-")[0] === one;
}

/** @param {string} tag */
function isKnown(tag) {
  try {
    return Intl.NumberFormat.supportedLocalesOf(tag).length > 0;
  } catch {
    return false; // not a tag of any language
  }
}

/** @param {string} name @param {string[]} allowed */
function remembered(name, allowed) {
  try {
    const kept = localStorage.getItem(`spyhole.${name}`);
    return kept !== null && allowed.includes(kept) ? kept : null;
  } catch {
    return null; // a browser that keeps nothing still shows everything
  }
}

/** @param {string} name @param {string} value */
function remember(name, value) {
  try {
    localStorage.setItem(`spyhole.${name}`, value);
  } catch {
    // Not remembered, but used as long as the page is open.
  }
}
