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
  if (warned.length) return [make("ul", { class: "log-warned" }, ...warned.map((alert) => warning(alert, firing, unit)))];
  // Of a log that was taken in nobody was told anything; what the watch makes of it are its troubles.
  const troubles = firing.facts.troubles;
  if (!troubles.length) return [make("p", { class: "note-none" }, logWords.happened.none)];
  return [make("p", { class: "small-print" }, logWords.happened.untold),
    make("ul", { class: "log-warned" }, ...troubles.map((one) => trouble(one, firing, unit)))];
}

/** @param {import("./asking.js").Trouble} one @param {Firing} firing @param {Unit} unit */
function trouble(one, firing, unit) {
  const { kind, channel, severity, message, data, began_s: began, ended_s: ended } = one;
  return told({ kind, channel, severity, message, data }, firing, unit, began, whenOver(ended, firing));
}

/** @param {HandledAlert} alert @param {Firing} firing @param {Unit} unit */
function warning(alert, firing, unit) {
  const say = logWords.happened;
  /** @param {number} elapsedS */
  const at = (elapsedS) => clock(firing.started_at, elapsedS) ?? showElapsed(elapsedS);
  const seen = alert.acknowledged_at_s;
  const handled = [
    alert.reminders ? say.reminded(alert.reminders) : null,
    alert.escalated_at_s === null ? null : say.escalated(at(alert.escalated_at_s)),
    seen === null ? say.unseen : alert.acknowledged_by ? say.seenBy(at(seen), alert.acknowledged_by) : say.seen(at(seen)),
    whenOver(alert.cleared_at_s, firing),
  ].filter((one) => one !== null).join(" ");
  return told(alert, firing, unit, alert.raised_at_s, handled);
}

/** @param {number | null} endedS @param {Firing} firing */
function whenOver(endedS, firing) {
  if (endedS === null) return logWords.happened.notCleared;
  return logWords.happened.cleared(clock(firing.started_at, endedS) ?? showElapsed(endedS));
}

/**
 * @param {Pick<HandledAlert, "kind" | "channel" | "severity" | "message" | "data">} what
 * @param {Firing} firing
 * @param {Unit} unit
 * @param {number} beganS
 * @param {string} handled what became of it
 */
function told(what, firing, unit, beganS, handled) {
  const said = make("p", {});
  const kind = firing.settings.watch?.kiln_kind ?? "";
  const snapshot = /** @type {import("../../types.js").Snapshot} */ ({ kiln: { name: firing.kiln, kind }, units: firing.units });
  sayIn(said, sayingOf(/** @type {HandledAlert} */ (what), snapshot, unit));
  return make("li", { class: `log-alert-${what.severity}` },
    make("p", { class: "log-alert-kind" }, sign(what.severity), make("strong", {}, titleOf(what)),
      make("span", {}, momentOf(firing.started_at, beganS))),
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
