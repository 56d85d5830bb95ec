/**
 * Unloading the kiln: what came out, what the firing's record says about it, and what the next
 * firing is to be. `#/unload/<firing>`, or `#/unload` for the latest that is over.
 */

import { make, say, sayWhy } from "../dom.js";
import { notLoaded } from "../shell.js";
import { style } from "../styles.js";
import { HOT_C, dayAndClock, digits, showDuration, showTemp } from "../units.js";
import { words as shellWords } from "../words.js";
import { askUnloading } from "./unload/asking.js";
import { coneSection } from "./unload/cones.js";
import { jumpTo } from "./unload/jump.js";
import { Looked } from "./unload/looked.js";
import { wareSection } from "./unload/ware.js";
import { words } from "./unload/words.js";

const WHOLE = 100;

/**
 * @param {HTMLElement} root
 * @param {import("../types.js").Context} context
 */
export async function mount(root, context) {
  const looks = style("static/views/unload/unload.css");
  const { live, place, signal } = context;
  const problem = make("p", { class: "problem", role: "status" });
  root.append(problem);
  let found;
  try {
    [found] = await Promise.all([askUnloading(place.name), looks]);
  } catch (error) {
    const again = make("button", { type: "button", class: "small" }, words.again);
    again.addEventListener("click", () => {
      root.replaceChildren();
      mount(root, context);
    });
    sayWhy(problem, error);
    root.append(make("div", {}, again));
    return;
  }
  if (signal.aborted) return;
  problem.remove();
  const { firing } = found;
  const looked = new Looked(firing.id, live, signal);
  const facts = make("p", { class: "unload-facts" });
  const hot = make("p", { class: "unload-hot", role: "status", hidden: true });
  root.append(
    make("section", { class: "panel", "aria-labelledby": "unload-heading" },
      make("h2", { id: "unload-heading" }, words.title),
      make("p", { class: "unload-name" }, words.of(shellWords.called(firing.name), dayAndClock(firing.started_at) ?? words.undated)),
      facts,
      firing.is_open ? make("p", { class: "unload-facts" }, words.goesOn) : null,
      jumps()),
    care(hot), wareSection(found, looked), coneSection(found, looked));
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
  addMore(root, found, looked, context);
}

/**
 * What one comes to when the ware has been ticked, fetched when that can be seen.
 * @param {HTMLElement} root
 * @param {import("./unload/asking.js").Unloading} found
 * @param {Looked} looked
 * @param {import("../types.js").Context} context
 */
async function addMore(root, found, looked, context) {
  const { signal } = context;
  try {
    const [{ sections }] = await Promise.all([import("./unload/more.js"), style("static/views/plans/plans.css")]);
    if (!signal.aborted) root.append(...sections(found, looked, context));
  } catch (error) {
    console.error(error);
    if (!signal.aborted) root.append(notLoaded());
  }
  if (!signal.aborted) looked.look();
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

/** One button for each section. */
function jumps() {
  const shorts = {
    "unload-ware": words.ware.short, "unload-cones": words.cones.short, "unload-traced": words.traced.short,
    "unload-next": words.next.short, "unload-photos": words.photos.heading, "unload-told": words.told.short,
  };
  return make("nav", { class: "unload-jumps", "aria-label": words.jump },
    ...Object.entries(shorts).map(([id, short]) => {
      const button = make("button", { type: "button", class: "quick" }, short);
      button.addEventListener("click", () => jumpTo(id));
      return button;
    }));
}
