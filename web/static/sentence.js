/**
 * How the firing goes in one plain sentence. English on a 24-hour clock is the server's own; any
 * other is worded here from the same figures, in the same order (supervisor/core/watch/sentence.py).
 */

import { clockShown, language } from "./settings.js";
import { HOT_C, ON_TIME_S, STEADY_C_PER_H, clock, showDifference, showTemp, tight } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").Snapshot} Snapshot */
/** @typedef {import("./types.js").Unit} Unit */

/** A cone this near is worth a walk, seconds: as LOOK_WITHIN_S of the core's sentence. */
const LOOK_WITHIN_S = 1800;
/** So far ahead a time of day alone may be taken for one that has passed, seconds. */
const FAR_OFF_S = 43200;
/** A hold that is so much longer than the forecast is not what the cone waits for, seconds. */
const SAME_S = 60;

/**
 * @param {Snapshot} snapshot
 * @param {Unit} unit
 */
export function sentenceOf(snapshot, unit) {
  if (language === "en" && clockShown() === "24") {
    return tight(unit === "F" ? snapshot.sentence_f : snapshot.sentence_c);
  }
  return worded(snapshot, unit);
}

/**
 * @param {Snapshot} snapshot
 * @param {Unit} unit
 */
export function worded(snapshot, unit) {
  const { temp_c: tempC, plan } = snapshot;
  if (tempC === null || plan === null) return words.sentence.blind;
  const late = lateOf(plan);
  const text = words.sentence.whole(doing(snapshot, plan, tempC, unit), late);
  // In a stall, or while heat is lost, when a cone would go down is nothing to wait for.
  const endsNowhere = plan.ends_in_s === null && plan.activity !== "finished";
  const cone = endsNowhere ? undefined : snapshot.cones.find((one) => one.down_at_s === null && one.expected_in_s !== null);
  if (cone && cone.expected_in_s !== null) {
    return `${text} ${ofCone(cone, cone.expected_in_s, snapshot, plan, tempC, unit)}`;
  }
  return plan.activity === "finished" && tempC > HOT_C ? `${text} ${words.sentence.keepShut}` : text;
}

/**
 * @param {Snapshot} snapshot
 * @param {import("./types.js").Plan} plan
 * @param {number} tempC
 * @param {Unit} unit
 */
function doing(snapshot, plan, tempC, unit) {
  const say = words.sentence;
  const rate = snapshot.rate_c_per_h ?? 0;
  const here = showTemp(tempC, unit);
  const pace = words.anHour(showDifference(Math.abs(rate), unit));
  if (plan.activity === "waiting") return rate < -STEADY_C_PER_H ? say.waitingCooling(here) : say.waiting(here);
  if (plan.activity === "finished") return rate < -STEADY_C_PER_H ? say.completeCooling(here, pace) : say.complete(here);
  const target = plan.target_c === null ? null : showTemp(plan.target_c, unit);
  if (plan.activity === "holding") {
    const leftS = plan.hold_left_s ?? 0;
    return say.holding(here, target ? say.holdingFor(target) : "", leftS > 0 ? say.toGo(longTime(leftS)) : say.holdOver);
  }
  if (Math.abs(rate) < STEADY_C_PER_H) return say.standing(here, target ? say.towards(target) : "");
  // Away from where the plan wants it nothing moves "towards" the step's end.
  const isAway = (rate > 0) !== (plan.activity === "climbing");
  const where = !target ? "" : isAway ? say.away(target) : say.towards(target);
  return rate > 0 ? say.climbing(pace, here, where) : say.cooling(pace, here, where);
}

/** @param {import("./types.js").Plan} plan */
function lateOf(plan) {
  const lateS = plan.late_s;
  if (lateS === null || plan.activity === "waiting") return "";
  if (Math.abs(lateS) < ON_TIME_S) return words.sentence.onPlan;
  const long = longTime(Math.abs(lateS));
  return lateS > 0 ? words.sentence.behind(long) : words.sentence.ahead(long);
}

/**
 * @param {import("./types.js").Cone} cone
 * @param {number} inS
 * @param {Snapshot} snapshot
 * @param {import("./types.js").Plan} plan
 * @param {number} tempC
 * @param {Unit} unit
 */
function ofCone(cone, inS, snapshot, plan, tempC, unit) {
  const say = words.sentence;
  const name = words.cones.name(cone.cone);
  const by = snapshot.correction ? say.byCorrected : say.byCalculation;
  const look = inS <= LOOK_WITHIN_S ? say.lookAtCones : "";
  const holdS = cone.hold_in_s;
  if (plan.activity === "holding" && holdS !== null && holdS <= inS + SAME_S) {
    return say.coneNeeds(name, longTime(holdS), showTemp(tempC, unit), by, look);
  }
  const at = clock(snapshot.time, inS);
  if (at && Math.round(inS) >= FAR_OFF_S) {
    return say.cone(name, say.farOff(at, longTime(Math.round(inS / 3600) * 3600)), "", by, look);
  }
  const when = at ? say.aboutAt(at) : say.within(longTime(inS));
  const { earliest_in_s: earliestS, latest_in_s: latestS } = cone;
  const earliest = earliestS === null ? null : clock(snapshot.time, earliestS);
  const latest = latestS === null ? null : clock(snapshot.time, latestS);
  const between = earliest && latest && earliest !== latest ? say.between(earliest, latest) : "";
  return say.cone(name, when, between, by, look);
}

/**
 * A length of time in words, to the minute, as the core says it.
 * @param {number} seconds
 */
export function longTime(seconds) {
  // By whole seconds, as the core does it and as they are sent.
  const wholeS = Math.round(seconds);
  const minutes = wholeS >= 60 ? Math.floor((wholeS + 30) / 60) : 0;
  if (minutes === 0) return words.time.underAMinute;
  if (minutes < 90) return words.time.minutes(minutes);
  return minutes % 60 ? words.time.hoursMinutes(Math.floor(minutes / 60), minutes % 60) : words.time.hours(minutes / 60);
}
