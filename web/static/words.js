/**
 * The page's texts in the language that is shown. Every text has its one place in a file of
 * `words/`; what the server says (the sentence, an alert's message, a fault) comes from there.
 */

import { breath } from "./dom.js";
import { language } from "./settings.js";
import { words as english } from "./words/en.js";

// How this phone writes numbers and times has just been looked up, which takes a slow one a while.
await breath();

/**
 * Another language than English is fetched only by who reads it.
 * @type {typeof english}
 */
export const words = language === "en" ? english : (await import(`./words/${language}.js`)).words;

/**
 * The text at a dotted path, for the page's fixed parts: "notes.heading".
 * @param {string} path
 * @returns {string}
 */
export function wordAt(path) {
  /** @type {any} */
  let found = words;
  for (const part of path.split(".")) found = found?.[part];
  if (typeof found !== "string") throw new Error(`no text "${path}"`);
  return found;
}
