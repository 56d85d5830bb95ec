/**
 * What stands around every view: the strip with the worst state and the age of the reading, the
 * navigation, the footer. Knows where these stand on the page, nothing of what a view shows.
 */

import { byId, make, say, sign, whenChanged } from "./dom.js";
import { addressOf } from "./places.js";
import { clockShown, language, locale } from "./settings.js";
import { digits, showDuration } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").Snapshot} Snapshot */

/** Less room than this may not last one long firing and its cooling. */
const URGENT_H = 72;
const times = new Intl.NumberFormat(locale, { maximumFractionDigits: 1 });

/**
 * @param {import("./types.js").Verdict} verdict
 * @param {number | null} ageS
 */
export function showStrip(verdict, ageS) {
  document.body.dataset.level = verdict.level;
  say(byId("state"), verdict.title);
  say(byId("age"), ageS === null ? words.ageNone : words.age(showDuration(ageS)));
  setSign(verdict.level);
}

const setSign = whenChanged(/** @param {string} level */ (level) => {
  byId("state-sign").replaceChildren(sign(level));
});

/** @param {Snapshot} snapshot */
export function showHead(snapshot) {
  const { mode, speed } = snapshot;
  say(byId("kiln"), snapshot.kiln.name);
  say(byId("firing"), snapshot.firing ? words.called(snapshot.firing.name) : words.noFiring);
  const strip = byId("not-live");
  strip.hidden = mode === "live";
  say(strip, mode === "live" ? "" : words.notLive[mode](speed === 1 ? "" : words.notLive.speed(times.format(speed))));
  const unwritten = notWritten(snapshot);
  byId("not-recording").hidden = unwritten === "";
  say(byId("not-recording"), unwritten);
}

/** That nothing is being kept, or soon will not be; else "". @param {Snapshot} snapshot */
function notWritten({ record, recording, log, mode, room_left_h: leftH = null }) {
  if (record === "failing") return words.notWritten;
  if (leftH !== null && leftH < URGENT_H) return words.roomEnds(digits(Math.floor(leftH)));
  return recording || log.state === "armed" || mode !== "live" ? "" : words.notRecording;
}

/** @param {Snapshot} snapshot */
export function showFooter(snapshot) {
  say(byId("mqtt"), words.footer.mqtt[snapshot.mqtt]);
  say(byId("record"), words.footer.record[snapshot.record]);
  byId("record").classList.toggle("bad", snapshot.record === "failing");
  const leftH = snapshot.room_left_h ?? null; // What was last seen may be of an older version.
  say(byId("room"), leftH === null ? "" : words.footer.room(digits(Math.floor(leftH))));
  byId("mqtt").classList.toggle("bad", snapshot.mqtt === "away");
  const failing = snapshot.notify_failing;
  byId("notify").hidden = failing.length === 0;
  say(byId("notify"), failing.length === 0 ? "" : words.footer.notify(failing.join(", ")));
}

/** Which of the choices of this phone are in force. @param {import("./types.js").Unit} unit */
export function showChoices(unit) {
  const inForce = [`unit-${unit}`, `clock-${clockShown()}`, `language-${language}`];
  for (const button of document.querySelectorAll(".choice-row button")) {
    button.setAttribute("aria-pressed", String(inForce.includes(button.id)));
  }
}

/**
 * @param {import("./views.js").View[]} views those of the navigation
 * @returns {(view: string) => void} marks the one that is shown
 */
export function navigation(views) {
  const links = views.map(({ name }) => ({
    name,
    link: make("a", { href: addressOf(name) }, sign(name), make("span", {}, label(name))),
  }));
  byId("views").hidden = views.length < 2;
  byId("view-list").replaceChildren(...links.map(({ link }) => make("li", {}, link)));
  return (view) => {
    for (const { name, link } of links) {
      if (name === view) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
  };
}

/** @param {string} name of a view */
export function label(name) {
  return /** @type {Record<string, string>} */ (words.views)[name] ?? name;
}

/** What stands where a view, or a part of it, could not be fetched; the strip above it goes on. */
export function notLoaded() {
  const button = make("button", { type: "button", class: "small" }, words.notLoaded.again);
  button.addEventListener("click", () => location.reload());
  return make("div", { class: "panel", role: "alert" }, make("p", {}, words.notLoaded.text), button);
}
