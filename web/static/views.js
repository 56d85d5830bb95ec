/**
 * The views of the page, in the order of the navigation: the one list. A view's code is fetched
 * when it is first looked at. How to add one: DEVELOPERS.md.
 */

/** @typedef {{mount: (root: HTMLElement, context: import("./types.js").Context) => void | Promise<void>}} ViewModule */

/**
 * @typedef {object} View
 * @property {string} name first part of its address, `#/<name>`; its label is `words.views[name]`,
 *   its sign `#sign-<name>` of the page
 * @property {boolean} [hasWords] its texts are files of their own, `words/<name>/`; they are asked for
 *   with its code, which names them only when it is there
 * @property {boolean} [isHidden] left out of the navigation: reached from another view
 * @property {() => Promise<ViewModule>} load
 */

/** @type {View[]} */
export const VIEWS = [
  { name: "watch", load: () => import("./views/watch.js") },
  { name: "log", hasWords: true, load: () => import("./views/log.js") },
  { name: "plans", hasWords: true, load: () => import("./views/plans.js") },
  { name: "replay", hasWords: true, load: () => import("./views/replay.js") },
  { name: "unload", hasWords: true, isHidden: true, load: () => import("./views/unload.js") },
];
