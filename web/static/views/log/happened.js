/** What the watch said of a firing, and what people did about it. */

import { make, sayIn, sign } from "../../dom.js";
import { sayingOf, titleOf } from "../../saying.js";
import { language } from "../../settings.js";
import { clock, showElapsed } from "../../units.js";
import { momentOf } from "./figures.js";
import { words as logWords } from "./words.js";

/** @typedef {import("./asking.js").Firing} Firing */
/** @typedef {import("./asking.js").HandledAlert} HandledAlert */
/** @typedef {import("../../types.js").Unit} Unit */

/**
 * The warnings, and how each was handled; news such as cones stand among the events.
 * @param {Firing} firing
 * @param {Unit} unit
 * @returns {Node[]}
 */
export function warningsPart(firing, unit) {
  const warned = firing.alerts.filter((alert) => alert.severity !== "info");
  if (!warned.length) {
    // Of a log that was taken in nobody was told anything; what the watch says of it are events.
    const isSaid = firing.events.some((event) => event.severity !== "info" && event.state === "raised");
    return [make("p", { class: "note-none" }, isSaid ? logWords.happened.untold : logWords.happened.none)];
  }
  return [make("ul", { class: "log-warned" }, ...warned.map((alert) => warning(alert, firing, unit)))];
}

/** @param {HandledAlert} alert @param {Firing} firing @param {Unit} unit */
function warning(alert, firing, unit) {
  const say = logWords.happened;
  const said = make("p", {});
  const kind = firing.settings.watch?.kiln_kind ?? "";
  const snapshot = /** @type {import("../../types.js").Snapshot} */ ({ kiln: { name: firing.kiln, kind }, units: firing.units });
  sayIn(said, sayingOf(alert, snapshot, unit));
  /** @param {number} elapsedS */
  const at = (elapsedS) => clock(firing.started_at, elapsedS) ?? showElapsed(elapsedS);
  const seen = alert.acknowledged_at_s;
  const handled = [
    alert.reminders ? say.reminded(alert.reminders) : null,
    alert.escalated_at_s === null ? null : say.escalated(at(alert.escalated_at_s)),
    seen === null ? say.unseen : alert.acknowledged_by ? say.seenBy(at(seen), alert.acknowledged_by) : say.seen(at(seen)),
    alert.cleared_at_s === null ? say.notCleared : say.cleared(at(alert.cleared_at_s)),
  ].filter((one) => one !== null).join(" ");
  return make("li", { class: `log-alert-${alert.severity}` },
    make("p", { class: "log-alert-kind" }, sign(alert.severity), make("strong", {}, titleOf(alert)),
      make("span", {}, momentOf(firing.started_at, alert.raised_at_s))),
    said, make("p", { class: "log-handled" }, handled));
}

/** @param {Firing} firing @returns {Node[]} */
export function eventsPart(firing) {
  if (!firing.events.length) return [];
  const rows = firing.events.map((event) => make("li", {},
    sign(event.severity),
    make("span", { class: "log-event-when" }, clock(firing.started_at, event.elapsed_s) ?? showElapsed(event.elapsed_s)),
    make("span", {}, event.state === "cleared" ? logWords.happened.over(titleOf(event)) : titleOf(event),
      language === "en" ? make("span", { class: "log-event-said" }, event.message) : null)));
  return [make("details", { class: "more" },
    make("summary", {}, logWords.happened.events(firing.events.length)),
    make("ol", { class: "log-events-list" }, ...rows))];
}
