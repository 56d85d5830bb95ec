/**
 * Making and filling elements. Text goes in as text only, never as markup, so nothing that a
 * person or a message says can become part of the page.
 */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no element "${id}"`);
  return found;
}

/**
 * @param {string} tag
 * @param {Record<string, string | boolean | ((event: Event) => void)>} [attributes]
 *   attributes by name; `onclick` and the like take functions; false leaves one out
 * @param {...(Node | string | null)} children
 * @returns {HTMLElement}
 */
export function make(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

/**
 * @param {string} tag
 * @param {Record<string, string>} [attributes]
 * @param {...Node} children
 * @returns {SVGElement}
 */
export function makeSvg(tag, attributes = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), attributes, children);
}

/**
 * A drawn sign from the page's own sheet of signs.
 * @param {string} name
 * @returns {SVGElement}
 */
export function sign(name) {
  return makeSvg("svg", { class: `sign sign-${name}`, "aria-hidden": "true" },
    makeSvg("use", { href: `#sign-${name}` }));
}

/**
 * @template {Element} E
 * @param {E} element
 * @param {Record<string, any>} attributes
 * @param {(Node | string | null)[]} children
 * @returns {E}
 */
function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false) element.setAttribute(name, value);
  }
  for (const child of children) if (child !== null) element.append(child);
  return element;
}

/**
 * Set a text only when it differs, so that screen readers and selections are left in peace.
 * @param {Element} element
 * @param {string} text
 */
export function say(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/**
 * Calls `draw` only when what it would draw has changed: a button under a thumb stays put.
 * @template T
 * @param {(value: T) => void} draw
 * @returns {(value: T) => void}
 */
export function whenChanged(draw) {
  /** @type {string | null} */
  let drawn = null;
  return (value) => {
    const now = JSON.stringify(value);
    if (now === drawn) return;
    drawn = now;
    draw(value);
  };
}

/**
 * A text with its language, where that is not the page's own.
 * @param {Element} element
 * @param {{text: string, lang: string | null}} said
 */
export function sayIn(element, { text, lang }) {
  say(element, text);
  if (lang === null) element.removeAttribute("lang");
  else element.setAttribute("lang", lang);
}

/**
 * Why something did not go, in a sentence around it; marked where it is in another language.
 * @param {Element} element
 * @param {any} error
 * @param {(why: string) => string} [around]
 */
export function sayWhy(element, { message, lang }, around = (why) => why) {
  const text = around(message);
  say(element, text);
  if (!lang) return;
  const at = text.indexOf(message);
  element.replaceChildren(text.slice(0, at), make("span", { lang }, message), text.slice(at + message.length));
}

/**
 * Between two pieces of long work, or for so long.
 * @param {number} [ms]
 * @returns {Promise<void>} fulfilled when a finger that waits has been heard
 */
export function breath(ms = 0) {
  return new Promise((done) => setTimeout(done, ms));
}
