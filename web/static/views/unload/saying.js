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

const say = words.sayings;
/** @type {Record<string, (f: Figures) => string>} by the server's `saying` */
export const SAYINGS = {
  "not-passed": () => say["not-passed"],
  "pace-free": (f) => say["pace-free"](...passage(f)),
  pace: (f) => say.pace(...passage(f), f.pace("allowed_c_per_h")),
  "burns-in-bisque": () => say["burns-in-bisque"],
  "not-warmed": () => say["not-warmed"],
  warmed: (f) => say.warmed(f.temp("below_c"), f.pace("fastest_c_per_h")),
  "log-ends-hot": () => say["log-ends-hot"],
  opened: (f) => say.opened(f.temp("opened_c"), f.pace("rate_c_per_h")),
  shut: (f) => say.shut(f.temp("end_c")),
  "shut-so-far": (f) => say["shut-so-far"](f.temp("end_c")),
  "first-fall": (f) => say["first-fall"](f.difference("first_c"), f.pace("first_c_per_h")),
  "no-firing": () => say["no-firing"],
  stood: (f) => say.stood(f.long("hold_s")),
  "not-fallen": (f) => say["not-fallen"](f.temp("from_c"), f.temp("to_c")),
  fell: (f) => say.fell(...passage(f)),
  "hot-for": (f) => say["hot-for"](f.temp("above_c"), f.long("time_s")),
  "no-cone": () => say["no-cone"],
  "no-cone-down": (f) => say["no-cone-down"](f.text("target")),
  calculated: (f) => say.calculated(cone(f, "cone"), f.text("target")),
  "calculated-surely": (f) =>
    say["calculated-surely"](cone(f, "cone"), f.text("target"), coneOrNone(f, "coolest"), coneOrNone(f, "hottest")),
  "calculated-unsure": (f) =>
    say["calculated-unsure"](cone(f, "cone"), f.text("target"), coneOrNone(f, "coolest"), coneOrNone(f, "hottest")),
  "real-cones": (f) => say["real-cones"](shown(f), f.text("target")),
  "real-cones-beside": (f) => say["real-cones-beside"](f.text("channel"), shown(f), f.text("target")),
  "one-channel": () => say["one-channel"],
  uneven: (f) => say.uneven(...apart(f)),
  "uneven-coolest": (f) => say["uneven-coolest"](...apart(f), f.text("where")),
  "uneven-hottest": (f) => say["uneven-hottest"](...apart(f), f.text("where")),
  "no-plan": () => say["no-plan"],
  "top-done": (f) => say["top-done"](f.temp("top_c")),
  "top-not-done": (f) => say["top-not-done"](f.temp("top_c")),
  "top-not-done-stalled": (f) => say["top-not-done-stalled"](...top(f)),
  "top-not-done-lost": (f) => say["top-not-done-lost"](...top(f)),
  "no-last-climb": () => say["no-last-climb"],
  "top-above": (f) => say["top-above"](by(f, "top_off_c"), f.temp("top_c")),
  "top-below": (f) => say["top-below"](by(f, "top_off_c"), f.temp("top_c")),
  "no-hold-fired": () => say["no-hold-fired"],
  "no-hold-planned": () => say["no-hold-planned"],
  held: (f) => say.held(f.long("hold_s"), f.long("planned_hold_s")),
  "no-planned-rate": () => say["no-planned-rate"],
  "last-climb": (f) => say["last-climb"](f.pace("rate_c_per_h"), f.pace("planned_c_per_h")),
  "no-reduction": () => say["no-reduction"],
  "nothing-noted": () => say["nothing-noted"],
  "begin-not-noted": () => say["begin-not-noted"],
  begun: (f) => say.begun(f.temp("begun_c")),
  "times-not-noted": () => say["times-not-noted"],
  "reduced-for": (f) => say["reduced-for"](f.long("lasted_s")),
};

/** A difference without its direction. @param {Figures} f @param {string} name */
function by(f, name) {
  return showDifference(Math.abs(f.number(name)), f.unit);
}

/** A time without its direction. @param {Figures} f @param {string} name */
function longBy(f, name) {
  return longTime(Math.abs(f.number(name)));
}

const because = words.reasons;
const what = words.changes;

/** @param {Figures} f */
function byCones(f) {
  const said = f.data.by_real_cones ? because["by-real-cones"] : because["by-calculation"];
  return said(cone(f, "cone"), f.text("target"));
}

/** What a plan does for the cones, by the keys of its ways. @type {Record<string, (f: Figures) => string>} */
const WAYS = {
  "cones-hold": (f) => (f.number("hold_by_s") > 0 ? what["hold-longer"] : what["hold-shorter"])(
    longBy(f, "hold_by_s"), f.temp("old_top_c"), f.long("hold_s")),
  "cones-top": (f) => (f.number("top_by_c") > 0 ? what.hotter : what.cooler)(by(f, "top_by_c"), f.temp("top_c")),
};

/** @param {Figures} f @param {Change} change */
function byItsWays(f, { ways }) {
  const [one, other] = ways.map(({ key }) => WAYS[key](f));
  return sentence(other ? what.or(one, other) : one);
}

/** @type {Record<string, (f: Figures, change: Change) => [string, string]>} reason and change by the server's `advice` */
export const ADVICE = {
  cones: (f, change) => [byCones(f), byItsWays(f, change)],
  "cones-broken-off": (f) => [because["broken-off"](byCones(f)), what["broken-off"]],
  "cones-too-far": (f) => [byCones(f), what["too-far"]],
  "climb-slower": (f) => [slowerWhy(f), what["climb-slower"](...slower(f))],
  "cool-slower": (f) => [slowerWhy(f), what["cool-slower"](...slower(f))],
  "open-later": (f) => [
    because["open-later"](f.temp("opened_c")),
    f.has("later_s") ? what["open-later"](f.temp("open_c"), f.long("later_s")) : what["open-some-time"](f.temp("open_c")),
  ],
  soak: (f) => [because.soak(f.long("old_hold_s")), what.soak(f.long("hold_s"), by(f, "top_by_c"), f.temp("top_c"))],
  "shorter-and-hotter": (f) => [
    because["shorter-and-hotter"],
    what["shorter-and-hotter"](f.long("hold_s"), f.long("old_hold_s"), by(f, "top_by_c"), f.temp("top_c")),
  ],
  "last-climb-shorter-hold": (f) => [
    because["last-climb"](f.difference("apart_c")),
    what["last-climb-shorter-hold"](f.pace("rate_c_per_h"), f.pace("old_rate_c_per_h"), longBy(f, "hold_by_s")),
  ],
  "last-climb-less-far": (f) => [
    because["last-climb"](f.difference("apart_c")),
    what["last-climb-less-far"](f.pace("rate_c_per_h"), f.pace("old_rate_c_per_h"), by(f, "top_by_c"), f.temp("top_c")),
  ],
  "grow-crystals": (f) => [
    because["grow-crystals"](f.temp("fell_from_c"), f.temp("fell_to_c"), f.pace("fell_c_per_h")),
    what["grow-crystals"](...slower(f)),
  ],
  "no-crystals": (f) => [
    because["no-crystals"](f.long("time_s"), f.temp("from_c"), f.temp("to_c")),
    what["no-crystals"](f.temp("to_c")),
  ],
  "fall-slower": (f) => [
    because["fall-slower"](f.pace("fell_c_per_h")),
    what["fall-slower"](f.pace("rate_c_per_h"), f.difference("first_c"), f.long("longer_s")),
  ],
  "warm-slower": (f) => [because["warm-slower"], what["warm-slower"](f.pace("rate_c_per_h"), f.temp("below_c"))],
  "reduce-then": (f) => [because["reduce-then"](f.temp("begun_c")), what["reduce-then"](f.temp("begin_c"))],
};

/** @param {Figures} f @returns {[string, string, string, string]} */
function slower(f) {
  return [f.pace("rate_c_per_h"), f.temp("from_c"), f.temp("to_c"), f.long("longer_s")];
}

/** @param {Figures} f */
function slowerWhy(f) {
  return because["climb-slower"](f.pace("fastest_c_per_h"), f.temp("from_c"), f.temp("to_c"));
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
