/**
 * Addresses within the page: `#/<view>`, `#/<view>/<name>`, `#/<view>/<name>?key=value`. Knows how
 * they are read and written, not which views there are.
 */

/** @typedef {import("./types.js").Place} Place */

/**
 * @param {string} hash as in `location.hash`
 * @returns {Place} its view is empty when the hash names none
 */
export function placeOf(hash) {
  const [path, query = ""] = hash.replace(/^#\/?/, "").split(/\?(.*)/s);
  const [view, ...rest] = path.split("/");
  const name = rest.join("/");
  return { view, name: name ? plain(name) : null, query: new URLSearchParams(query) };
}

/**
 * @param {string} view
 * @param {string | null} [name] such as a firing's id
 * @param {Record<string, string>} [query]
 */
export function addressOf(view, name = null, query = {}) {
  const asked = new URLSearchParams(query).toString();
  return `#/${view}${name === null ? "" : `/${encodeURIComponent(name)}`}${asked ? `?${asked}` : ""}`;
}

/** @param {string} text */
function plain(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text; // typed by hand, with a lone percent sign
  }
}
