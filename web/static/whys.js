/**
 * Why something was refused or does not count, in the language of this phone: worded from the
 * server's name for it and its figures. Fetched when there is something to say, and only where the
 * server's English is not what is read.
 */

import { longTime } from "./sentence.js";
import { language, locale } from "./settings.js";
import { words as shell } from "./words.js";

/** @typedef {import("./types.js").Why} Why */

export const words = /** @type {typeof import("./words/whys/en.js").words} */ (
  (await import(`./words/whys/${language}.js`)).words);

const numbers = new Intl.NumberFormat(locale, { useGrouping: "min2", maximumFractionDigits: 1 });
const GAP = /\{(\w+)\}/g;
const LINE = /^(.*), line (\d+)(?:, column \d+)?$/;
const LAST_KEY = /[a-z_]+(?=[.\d]*$)/;

/**
 * The sentence, or null where its name or one of its figures is not known here.
 * @param {Why} why
 */
export function worded({ reason, figures }) {
  const sentence = words.reasons[reason];
  const gaps = sentence && [...sentence.matchAll(GAP)].map(([, name]) => name);
  if (!gaps || gaps.some((name) => figures[name] === null || figures[name] === undefined)) return null;
  const said = sentence.replace(GAP, (_, name) => shown(name, /** @type {string | number | boolean} */ (figures[name])));
  return figures.where ? `${placeOf(String(figures.where))}: ${said}` : said;
}

/** @param {string} name @param {string | number | boolean} figure */
function shown(name, figure) {
  if (name === "field") return words.fields[LAST_KEY.exec(String(figure))?.[0] ?? "other"] ?? words.fields.other;
  if (/(^|_)tip$/.test(name)) return shell.witness.tip(String(figure));
  if (typeof figure !== "number") return String(figure);
  return name.endsWith("_s") ? longTime(figure) : numbers.format(figure);
}

/** A file, and where in it. @param {string} where */
function placeOf(where) {
  const found = LINE.exec(where);
  return found ? words.line(found[1], found[2]) : where;
}
