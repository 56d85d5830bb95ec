/**
 * The views of the page, in the order of the navigation: the one list. A view's code is fetched
 * when it is first looked at. How to add one: DEVELOPERS.md.
 */

import { language } from "./settings.js";

/** @typedef {{mount: (root: HTMLElement, context: import("./types.js").Context) => void | Promise<void>}} ViewModule */

/**
 * @typedef {object} View
 * @property {string} name first part of its address, `#/<name>`; its label is `words.views[name]`,
 *   its sign `#sign-<name>` of the page
 * @property {boolean} [isHidden] left out of the navigation: reached from another view
 * @property {() => Promise<ViewModule>} load
 * @property {string[]} [parts] of what else it is made, below `static/`; a folder of words stands
 *   for those of the language that is shown. They are asked for at once, since modules name each
 *   other only one after the other.
 */

const LOOKS = ["styles.js"];
const PLAN = [...LOOKS, "words/plans/", "views/plans/plans.css", ...under("plans", "asking drawing explained saying words")];

/** @type {View[]} */
export const VIEWS = [
  { name: "watch", load: () => import("./views/watch.js") },
  { name: "log", load: () => import("./views/log.js") },
  { name: "plans", load: () => import("./views/plans.js"), parts: [...PLAN, ...under("plans", "editor figures hold list shown steps")] },
  { name: "replay", load: () => import("./views/replay.js"), parts: [...LOOKS, "words/replay/", "views/replay/replay.css", ...under("replay", "asking clockwork list player words")] },
  {
    name: "unload",
    isHidden: true,
    load: () => import("./views/unload.js"),
    parts: [...PLAN, "words/unload/", "views/unload/unload.css",
      ...under("unload", "asking cones jump looked next photos saying sending shrink told traced ware words")],
  },
];

/** @type {Set<string>} */
const asked = new Set();

/** @param {View} view */
export function fetchAhead({ parts = [] }) {
  for (const part of parts) {
    if (asked.has(part)) continue;
    asked.add(part);
    const link = document.createElement("link");
    link.rel = part.endsWith(".css") ? "preload" : "modulepreload";
    if (link.rel === "preload") link.as = "style";
    link.href = `static/${part}${part.endsWith("/") ? `${language}.js` : ""}`;
    document.head.append(link);
  }
}

/** @param {string} view @param {string} names of its modules */
function under(view, names) {
  return names.split(" ").map((name) => `views/${view}/${name}.js`);
}
