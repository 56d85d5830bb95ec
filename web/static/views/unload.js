/**
 * Unloading the kiln: what came out, what the firing's record says about it, and what the next
 * firing is to be. `#/unload/<firing>`, or `#/unload` for the latest that is over.
 */

import { make, say } from "../dom.js";
import { style } from "../styles.js";
import { HOT_C, dayAndClock, digits, showDuration, showTemp } from "../units.js";
import { askUnloading } from "./unload/asking.js";
import { coneSection } from "./unload/cones.js";
import { jumpTo } from "./unload/jump.js";
import { Looked } from "./unload/looked.js";
import { nextSection } from "./unload/next.js";
import { photoSection } from "./unload/photos.js";
import { toldSection } from "./unload/told.js";
import { tracedSection } from "./unload/traced.js";
import { wareSection } from "./unload/ware.js";
import { words } from "./unload/words.js";

const WHOLE = 100;

/**
 * @param {HTMLElement} root
 * @param {import("../types.js").Context} context
 */
export async function mount(root, context) {
  await Promise.all([style("static/views/plans/plans.css"), style("static/views/unload/unload.css")]);
  const { live, place, signal } = context;
  const problem = make("p", { class: "problem", role: "status" });
  root.append(problem);
  let found;
  try {
    found = await askUnloading(place.name);
  } catch (error) {
    const again = make("button", { type: "button", class: "small" }, words.again);
    again.addEventListener("click", () => {
      root.replaceChildren();
      mount(root, context);
    });
    say(problem, /** @type {Error} */ (error).message);
    root.append(make("div", {}, again));
    return;
  }
  if (signal.aborted) return;
  problem.remove();
  const { firing } = found;
  const looked = new Looked(firing.id, live, signal);
  const sections = [
    wareSection(found, looked),
    coneSection(found, looked),
    tracedSection(found, looked, context),
    nextSection(found, looked, context),
    photoSection(found, context),
    toldSection(found),
  ];
  const facts = make("p", { class: "unload-facts" });
  const hot = make("p", { class: "unload-hot", role: "status", hidden: true });
  root.append(
    make("section", { class: "panel", "aria-labelledby": "unload-heading" },
      make("h2", { id: "unload-heading" }, words.title),
      make("p", { class: "unload-name" }, words.of(firing.name, dayAndClock(firing.started_at) ?? words.undated)),
      facts,
      firing.is_open ? make("p", { class: "unload-facts" }, words.goesOn) : null,
      jumps(sections)),
    care(hot), ...sections);
  live.listen({
    onSnapshot(snapshot) {
      say(facts, [
        calculated(firing),
        firing.peak_c === null ? null : showTemp(firing.peak_c, live.unit()),
        firing.length_s === null ? null : showDuration(firing.length_s),
      ].filter((one) => one !== null).join(" · "));
      const isThis = snapshot.firing?.id === firing.id;
      hot.hidden = !isThis || snapshot.temp_c === null || snapshot.temp_c <= HOT_C;
      if (!hot.hidden && snapshot.temp_c !== null) say(hot, words.care.hot(showTemp(snapshot.temp_c, live.unit())));
    },
  }, signal);
  looked.look();
}

/** @param {import("./unload/asking.js").FiringRow} firing */
function calculated({ cone, next_cone: next, toward_next: share }) {
  if (cone === null) return null;
  return next === null || share === null ? words.cone(cone) : words.coneAnd(cone, `${digits(share * WHOLE)}\u202f%`, next);
}

/** @param {HTMLElement} hot what is said of a kiln that is not cool yet */
function care(hot) {
  return make("section", { class: "panel unload-care", "aria-labelledby": "unload-care-heading" },
    make("h2", { id: "unload-care-heading" }, words.care.heading),
    hot,
    make("ul", {}, ...[words.care.cool, words.care.sharp, words.care.dust].map((text) => make("li", {}, text))));
}

/** One button for each section. @param {HTMLElement[]} sections */
function jumps(sections) {
  const shorts = [words.ware.short, words.cones.short, words.traced.short, words.next.short, words.photos.heading, words.told.short];
  return make("nav", { class: "unload-jumps", "aria-label": words.jump },
    ...sections.map((section, at) => {
      const button = make("button", { type: "button", class: "quick" }, shorts[at]);
      button.addEventListener("click", () => jumpTo(section.id));
      return button;
    }));
}

