/** Style sheets of single views, fetched when such a view is first looked at. */

/** @type {Map<string, Promise<void>>} */
const coming = new Map();

/**
 * @param {string} address of the style sheet
 * @returns {Promise<void>} fulfilled when it counts, also when it can't be had: a view without its
 *   looks is better than none
 */
export function style(address) {
  const asked = coming.get(address);
  if (asked) return asked;
  const link = document.createElement("link");
  link.rel = "stylesheet";
  link.href = address;
  const done = new Promise((resolve) => {
    link.addEventListener("load", () => resolve(undefined));
    link.addEventListener("error", () => resolve(undefined));
  });
  document.head.append(link);
  coming.set(address, /** @type {Promise<void>} */ (done));
  return /** @type {Promise<void>} */ (done);
}
