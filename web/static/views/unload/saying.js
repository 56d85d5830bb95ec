/**
 * Causes, changes and how well a plan fits, in the language and scale of this phone: worded from the
 * server's names and figures; where one of them is not known here the server's own English, marked so.
 */

import { longTime } from "../../sentence.js";
import { Figures, orNull } from "../../saying.js";
import { language, locale } from "../../settings.js";
import { showDifference, showElapsed, showTemp, tight } from "../../units.js";
import { words } from "./words.js";

/** @typedef {import("../../saying.js").Said} Said */
/** @typedef {import("../../types.js").Unit} Unit */
/** @typedef {import("./asking.js").Cause} Cause */
/** @typedef {import("./asking.js").Change} Change */
/** @typedef {import("./asking.js").PlanFit} PlanFit */

const tenths = new Intl.NumberFormat(locale, { minimumFractionDigits: 1, maximumFractionDigits: 1 });
const hundredths = new Intl.NumberFormat(locale, { minimumFractionDigits: 2, maximumFractionDigits: 2 });
const BELOW = /^below (.*)$/;

/** A place on the scale of cones as the core names it, such as "5.4" or "below 022". @param {string} name */
export function coneOf(name) {
  const below = BELOW.exec(name);
  return below ? words.shown.below(below[1]) : name;
}

/** @param {Figures} f @param {string} name */
const cone = (f, name) => coneOf(f.text(name));
/** @param {Figures} f @param {string} name */
const coneOrNone = (f, name) => (f.has(name) ? cone(f, name) : words.shown.none);

/** @param {Figures} f @returns {[string, string, string, string]} */
const passage = (f) => [f.temp("from_c"), f.temp("to_c"), f.pace("mean_c_per_h"), f.pace("fastest_c_per_h")];
/** @param {Figures} f @returns {[string, string]} */
const apart = (f) => [f.difference("peak_apart_c"), tenths.format(f.number("cones_apart"))];
/** @param {Figures} f @returns {[string, string]} */
const top = (f) => [f.temp("top_c"), f.has("lost_c") ? words.shown.at(f.temp("lost_c")) : ""];

/** @param {Figures} f what the real cones show */
function shown(f) {
  if (!f.has("seen_low")) return words.shown.less(cone(f, "seen_high"));
  if (!f.has("seen_high")) return words.shown.more(cone(f, "seen_low"));
  const low = cone(f, "seen_low");
  const high = cone(f, "seen_high");
  return low === high ? words.shown.one(low) : words.shown.between(low, high);
}

/** @type {Record<string, (f: Figures) => string>} by the server's `saying` */
export const SAYINGS = {
  "not-passed": () => words.sayings["not-passed"],
  "pace-free": (f) => words.sayings["pace-free"](...passage(f)),
  pace: (f) => words.sayings.pace(...passage(f), f.pace("allowed_c_per_h")),
  "burns-in-bisque": () => words.sayings["burns-in-bisque"],
  "not-warmed": () => words.sayings["not-warmed"],
  warmed: (f) => words.sayings.warmed(f.temp("below_c"), f.pace("fastest_c_per_h")),
  "log-ends-hot": () => words.sayings["log-ends-hot"],
  opened: (f) => words.sayings.opened(f.temp("opened_c"), f.pace("rate_c_per_h")),
  shut: (f) => words.sayings.shut(f.temp("end_c")),
  "shut-so-far": (f) => words.sayings["shut-so-far"](f.temp("end_c")),
  "first-fall": (f) => words.sayings["first-fall"](f.difference("first_c"), f.pace("first_c_per_h")),
  "no-firing": () => words.sayings["no-firing"],
  stood: (f) => words.sayings.stood(f.long("hold_s")),
  "not-fallen": (f) => words.sayings["not-fallen"](f.temp("from_c"), f.temp("to_c")),
  fell: (f) => words.sayings.fell(...passage(f)),
  "hot-for": (f) => words.sayings["hot-for"](f.temp("above_c"), f.long("time_s")),
  "no-cone": () => words.sayings["no-cone"],
  "no-cone-down": (f) => words.sayings["no-cone-down"](f.text("target")),
  calculated: (f) => words.sayings.calculated(cone(f, "cone"), f.text("target")),
  "calculated-surely": (f) =>
    words.sayings["calculated-surely"](cone(f, "cone"), f.text("target"), coneOrNone(f, "coolest"), coneOrNone(f, "hottest")),
  "calculated-unsure": (f) =>
    words.sayings["calculated-unsure"](cone(f, "cone"), f.text("target"), coneOrNone(f, "coolest"), coneOrNone(f, "hottest")),
  "real-cones": (f) => words.sayings["real-cones"](shown(f), f.text("target")),
  "real-cones-beside": (f) => words.sayings["real-cones-beside"](f.text("channel"), shown(f), f.text("target")),
  "one-channel": () => words.sayings["one-channel"],
  uneven: (f) => words.sayings.uneven(...apart(f)),
  "uneven-coolest": (f) => words.sayings["uneven-coolest"](...apart(f), f.text("where")),
  "uneven-hottest": (f) => words.sayings["uneven-hottest"](...apart(f), f.text("where")),
  "no-plan": () => words.sayings["no-plan"],
  "top-done": (f) => words.sayings["top-done"](f.temp("top_c")),
  "top-not-done": (f) => words.sayings["top-not-done"](f.temp("top_c")),
  "top-not-done-stalled": (f) => words.sayings["top-not-done-stalled"](...top(f)),
  "top-not-done-lost": (f) => words.sayings["top-not-done-lost"](...top(f)),
  "no-last-climb": () => words.sayings["no-last-climb"],
  "top-above": (f) => words.sayings["top-above"](by(f, "top_off_c"), f.temp("top_c")),
  "top-below": (f) => words.sayings["top-below"](by(f, "top_off_c"), f.temp("top_c")),
  "no-hold-fired": () => words.sayings["no-hold-fired"],
  "no-hold-planned": () => words.sayings["no-hold-planned"],
  held: (f) => words.sayings.held(f.long("hold_s"), f.long("planned_hold_s")),
  "no-planned-rate": () => words.sayings["no-planned-rate"],
  "last-climb": (f) => words.sayings["last-climb"](f.pace("rate_c_per_h"), f.pace("planned_c_per_h")),
  "no-reduction": () => words.sayings["no-reduction"],
  "nothing-noted": () => words.sayings["nothing-noted"],
  "begin-not-noted": () => words.sayings["begin-not-noted"],
  begun: (f) => words.sayings.begun(f.temp("begun_c")),
  "times-not-noted": () => words.sayings["times-not-noted"],
  "reduced-for": (f) => words.sayings["reduced-for"](f.long("lasted_s")),
};

/** A difference without its direction. @param {Figures} f @param {string} name */
function by(f, name) {
  return showDifference(Math.abs(f.number(name)), f.unit);
}

/** A time without its direction. @param {Figures} f @param {string} name */
function longBy(f, name) {
  return longTime(Math.abs(f.number(name)));
}


/** @param {Figures} f */
function byCones(f) {
  const said = f.data.by_real_cones ? words.reasons["by-real-cones"] : words.reasons["by-calculation"];
  return said(cone(f, "cone"), f.text("target"));
}

/** What a plan does for the cones, by the keys of its ways. @type {Record<string, (f: Figures) => string>} */
const WAYS = {
  "cones-hold": (f) => (f.number("hold_by_s") > 0 ? words.changes["hold-longer"] : words.changes["hold-shorter"])(
    longBy(f, "hold_by_s"), f.temp("old_top_c"), f.long("hold_s")),
  "cones-top": (f) => (f.number("top_by_c") > 0 ? words.changes.hotter : words.changes.cooler)(by(f, "top_by_c"), f.temp("top_c")),
};

/** @param {Figures} f @param {Change} change */
function byItsWays(f, { ways }) {
  const [one, other] = ways.map(({ key }) => WAYS[key](f));
  return sentence(other ? words.changes.or(one, other) : one);
}

/** @type {Record<string, (f: Figures, change: Change) => [string, string]>} reason and change by the server's `advice` */
export const ADVICE = {
  cones: (f, change) => [byCones(f), byItsWays(f, change)],
  "cones-broken-off": (f) => [words.reasons["broken-off"](byCones(f)), words.changes["broken-off"]],
  "cones-too-far": (f) => [byCones(f), words.changes["too-far"]],
  "climb-slower": (f) => [slowerWhy(f), words.changes["climb-slower"](...slower(f))],
  "cool-slower": (f) => [slowerWhy(f), words.changes["cool-slower"](...slower(f))],
  "open-later": (f) => [
    words.reasons["open-later"](f.temp("opened_c")),
    f.has("later_s") ? words.changes["open-later"](f.temp("open_c"), f.long("later_s")) : words.changes["open-some-time"](f.temp("open_c")),
  ],
  soak: (f) => [words.reasons.soak(f.long("old_hold_s")), words.changes.soak(f.long("hold_s"), by(f, "top_by_c"), f.temp("top_c"))],
  "shorter-and-hotter": (f) => [
    words.reasons["shorter-and-hotter"],
    words.changes["shorter-and-hotter"](f.long("hold_s"), f.long("old_hold_s"), by(f, "top_by_c"), f.temp("top_c")),
  ],
  "last-climb-shorter-hold": (f) => [
    words.reasons["last-climb"](f.difference("apart_c")),
    words.changes["last-climb-shorter-hold"](f.pace("rate_c_per_h"), f.pace("old_rate_c_per_h"), longBy(f, "hold_by_s")),
  ],
  "last-climb-less-far": (f) => [
    words.reasons["last-climb"](f.difference("apart_c")),
    words.changes["last-climb-less-far"](f.pace("rate_c_per_h"), f.pace("old_rate_c_per_h"), by(f, "top_by_c"), f.temp("top_c")),
  ],
  "grow-crystals": (f) => [
    words.reasons["grow-crystals"](f.temp("fell_from_c"), f.temp("fell_to_c"), f.pace("fell_c_per_h")),
    words.changes["grow-crystals"](...slower(f)),
  ],
  "no-crystals": (f) => [
    words.reasons["no-crystals"](f.long("time_s"), f.temp("from_c"), f.temp("to_c")),
    words.changes["no-crystals"](f.temp("to_c")),
  ],
  "fall-slower": (f) => [
    words.reasons["fall-slower"](f.pace("fell_c_per_h")),
    words.changes["fall-slower"](f.pace("rate_c_per_h"), f.difference("first_c"), f.long("longer_s")),
  ],
  "warm-slower": (f) => [words.reasons["warm-slower"], words.changes["warm-slower"](f.pace("rate_c_per_h"), f.temp("below_c"))],
  "reduce-then": (f) => [words.reasons["reduce-then"](f.temp("begun_c")), words.changes["reduce-then"](f.temp("begin_c"))],
};

/** @param {Figures} f @returns {[string, string, string, string]} */
function slower(f) {
  return [f.pace("rate_c_per_h"), f.temp("from_c"), f.temp("to_c"), f.long("longer_s")];
}

/** @param {Figures} f */
function slowerWhy(f) {
  return words.reasons["climb-slower"](f.pace("fastest_c_per_h"), f.temp("from_c"), f.temp("to_c"));
}

/** @param {string} clause */
function sentence(clause) {
  return `${clause[0].toUpperCase()}${clause.slice(1)}.`;
}

/** @param {string | null | undefined} own @param {string} servers @returns {Said} */
function said(own, servers) {
  if (own) return { text: tight(own), lang: null };
  return { text: tight(servers), lang: language === "en" ? null : "en" };
}

/**
 * What may have been, why the record says so, and what to do next time.
 * @param {Cause} cause
 * @param {Unit} unit
 */
export function causeSaid(cause, unit) {
  const why = SAYINGS[cause.saying];
  return {
    cause: fixed(words.causes[cause.name], cause.cause),
    said: said(why && orNull(() => why(new Figures(cause.figures, unit))), cause.said),
    nextTime: said(words.nextTime[cause.name] && `${words.nextTime[cause.name]}.`, `${cause.next_time}.`),
  };
}

/** @param {{key: string, cause: string}} outside */
export function outsideSaid({ key, cause }) {
  return fixed(words.outside[key], cause);
}

/** A clause as a sentence. @param {string | undefined} own @param {string} servers */
function fixed(own, servers) {
  return said(own && sentence(own), sentence(servers));
}

/** Who describes it; titles stay as they are. @param {string} source */
export function sourceSaid(source) {
  return source.split("; ").map((one) => words.sources[one] ?? one).join("; ");
}

/**
 * Why, what, and each way of the plan.
 * @param {Change} change
 * @param {Unit} unit
 */
export function changeSaid(change, unit) {
  const f = new Figures(change.figures, unit);
  const advice = ADVICE[change.advice];
  const own = advice ? orNull(() => advice(f, change)) : null;
  return {
    reason: said(own?.[0], change.reason),
    change: said(own?.[1], change.change),
    ways: change.ways.map(({ key, said: servers }) => ({
      key,
      said: said(own && (WAYS[key] ? sentence(WAYS[key](f)).slice(0, -1) : own[1]), servers),
    })),
  };
}

/**
 * How well a plan repeats the firing, a sentence each.
 * @param {PlanFit} fit
 * @param {Unit} unit
 */
export function fitSaid(fit, unit) {
  const { off_c: offC, off_at_s: atS, swing_c: swingC, fired_cone: fired, cone: plans, cones_apart: cones } = fit;
  const texts = [words.fit.follows(showDifference(offC, unit), showElapsed(atS))];
  if (swingC !== null) texts.push(words.fit.swings(showDifference(swingC, unit)));
  if (fired === null || plans === null || cones === null) texts.push(words.fit.noCone);
  else texts.push((fit.agrees ? words.fit.agrees : words.fit.differs)(coneOf(fired), coneOf(plans), hundredths.format(cones)));
  for (const { what: lost, since_s: sinceS, lasted_s: lastedS, temp_c: tempC } of fit.left_out) {
    const text = lost === "heat_lost" ? words.fit.heatLost : words.fit.stall;
    texts.push(text(showTemp(tempC, unit), showElapsed(sinceS), longTime(lastedS)));
  }
  return texts.map(tight);
}
