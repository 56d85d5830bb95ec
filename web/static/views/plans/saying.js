/**
 * What is said of a plan, in the language and scale of this phone: worded from the server's names
 * and figures; where one of them is not known here the server's own English, marked so.
 */

import { Figures, orNull, phaseName } from "../../saying.js";
import { language, locale } from "../../settings.js";
import { showTemp } from "../../units.js";
import { words as shellWords } from "../../words.js";
import { words } from "./words.js";

/** @typedef {import("../../types.js").Unit} Unit */
/** @typedef {import("./asking.js").Part} Part */
/** @typedef {import("./asking.js").Explained} Explained */
/** @typedef {{time: string | null, text: string, lang: string | null}} Line `time` where it has one of the plan's */

/** The server's own line with times of the plan. */
const TIMES = /^(\d+:\d\d to \d+:\d\d) +(.*)$/s;
const HOLDING = "holding";
const HOUR_S = 3600;
const ONE_CONE = 1.05;
const tenths = new Intl.NumberFormat(locale, { minimumFractionDigits: 1, maximumFractionDigits: 1 });
const whole = new Intl.NumberFormat(locale, { maximumFractionDigits: 0 });

/** Hours and minutes on the plan's clock. @param {Figures} f @param {string} name */
function clock(f, name) {
  const minutes = Math.round(f.number(name) / 60);
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
}

/** @param {Figures} f @param {string} name */
const percent = (f, name) => `${whole.format(f.number(name))}${language === "en" ? "" : "\u202f"}%`;

/** @param {Figures} f */
const note = (f) => (f.text("note") ? words.bits.note(words.starterNotes[f.text("note")] ?? f.text("note")) : "");

/** @param {Figures} f a rate, and whether the timeline only supposes it */
const pace = (f) => `${f.pace("rate_c_per_h")}${f.data.is_assumed ? words.bits.assumed : ""}`;

/** @param {Figures} f where a band lies */
function where(f) {
  return f.text("way") === HOLDING ? words.bits.at(f.temp("to_c")) : words.bits.fromTo(f.temp("from_c"), f.temp("to_c"));
}

/** Why a band matters: the table's reason, or the potter's own. @param {Figures} f */
function why(f) {
  const own = f.has("why") ? words.why[f.text("why")] : undefined;
  return (own ?? f.text("why_said")).replace("{at}", showTemp(f.number("why_at_c"), f.unit));
}

/** @param {Figures} f */
function worth(f) {
  if (!f.has("cones")) return words.bits.gives;
  const cones = f.number("cones");
  if (cones.toFixed(1) === "1.0") return words.bits.worthOne;
  return (cones >= ONE_CONE ? words.bits.worthMany : words.bits.worthPart)(tenths.format(cones));
}

/** @param {Figures} f */
function coneDown(f) {
  const when = f.text("when");
  const next = f.has("next_cone")
    ? words.bits.next(f.text("next_cone"), percent(f, "percent")) + (f.data.with_cooling ? words.bits.withCooling : "")
    : "";
  return words.lines["cone-down"](f.text("cone"), clock(f, "at_s"),
    when === "after" ? words.bits.after : when === "cooling" ? words.bits.cooling : "", next);
}

/** @param {Figures} f */
function howSure(f) {
  const coolest = f.has("coolest") ? f.text("coolest") : words.bits.none;
  const hottest = f.has("hottest") ? f.text("hottest") : words.bits.none;
  return words.lines["how-sure"](
    coolest === hottest ? words.bits.same(coolest) : words.bits.between(coolest, hottest), f.difference("off_c"));
}

/** @param {Figures} f */
function phase(f) {
  let how = "";
  if (f.text("way") !== HOLDING) {
    how = words.bits.pace(f.pace("rate_c_per_h"));
    if (!f.data.is_steady) how += words.bits.onAverage;
    if (f.has("fastest_c_per_h")) how += words.bits.advisable(f.pace("fastest_c_per_h"));
  }
  return words.lines.phase(bandName(f.text("band")), where(f), how, why(f));
}

/** The phase's name; in English the plan's own. @param {string} name */
function bandName(name) {
  return language === "en" ? name : phaseName(name);
}

/** @param {Figures} f */
function ends(f) {
  const quartz = f.has("quartz_c") ? words.bits.quartz(f.temp("quartz_c"), hours(f, "quartz_h")) : "";
  return (f.data.is_cooled ? words.lines.ends : words.lines["ends-hot"])(
    f.temp("end_c"), quartz, f.temp("warm_c"), hours(f, "warm_h"));
}

/** @param {Figures} f @param {string} name */
function hours(f, name) {
  return words.hours(f.number(name));
}

/** @param {Figures} f */
function tooFast(f) {
  return (f.text("way") === "cooling" ? words.lines["falls-too-fast"] : words.lines["too-fast"])(
    pace(f), bandName(f.text("band")), where(f), f.pace("fastest_c_per_h"), why(f));
}

/** @param {Figures} f */
function tooFastRaw(f) {
  const names = f.text("bands").split(", ").map((name) => words.bits.quoted(bandName(name)));
  const last = names.pop() ?? "";
  const listed = names.length ? words.bits.and(names.join(", "), last) : last;
  const assumed = f.has("assumed_c_per_h") ? words.bits.rawAssumed(f.pace("assumed_c_per_h")) : "";
  return words.lines["too-fast-raw"](listed + assumed);
}

/** @param {Figures} f */
function overfired(f) {
  const times = whole.format(f.number("times"));
  return words.lines.overfired(f.text("cone"), f.has("early_s") ? words.bits.down(f.long("early_s")) : "",
    f.data.is_capped ? words.bits.moreThan(times) : times, f.text("reached"));
}

/** @param {Figures} f */
function reaches(f) {
  return words.bits.reaches(f.data.cooling ? words.bits.itsCooling : "",
    f.has("percent") ? percent(f, "percent") : words.bits.trace, f.text("cone"),
    f.has("reached") ? words.bits.bringsDown(f.text("reached")) : "");
}

/** @param {Figures} f */
function underfired(f) {
  const ways = [];
  if (f.has("hold_s")) ways.push(words.bits.holdInAll(f.long("hold_s"), f.temp("hold_at_c")));
  if (f.has("fire_to_c")) ways.push(words.bits.fireTo(f.temp("fire_to_c")));
  if (f.has("hold_at_limit_s")) {
    const hold = f.number("hold_at_limit_s") > 0 ? words.bits.andHold(f.long("hold_at_limit_s")) : "";
    ways.push(words.bits.fireToLimit(f.temp("limit_c"), hold));
  }
  return words.lines.underfired(reaches(f),
    ways.length ? ways.reduce((one, other) => words.bits.or(one, other)) : words.bits.farOff);
}

/** @type {Record<string, (f: Figures) => string>} by the server's `saying` */
export const LINES = {
  climb: (f) => words.lines.climb(f.pace("rate_c_per_h"), f.temp("temp_c"), note(f)),
  cool: (f) => words.lines.cool(f.pace("rate_c_per_h"), f.temp("temp_c"), note(f)),
  "full-power": (f) => words.lines["full-power"](f.temp("temp_c"), note(f)),
  "cool-by-itself": (f) => words.lines["cool-by-itself"](f.temp("temp_c"), note(f)),
  hold: (f) => words.lines.hold(f.long("hold_s"), f.temp("temp_c"), note(f)),
  length: (f) => words.lines.length(f.long("took_s"), f.temp("start_c"), f.temp("peak_c")),
  estimated: (f) => words.lines.estimated(f.pace("rate_c_per_h"), `${whole.format(f.number("constant_s") / HOUR_S)}\u00a0h`),
  "no-cone": () => words.lines["no-cone"],
  "cone-down": coneDown,
  "how-sure": howSure,
  "hold-worth": (f) => words.lines["hold-worth"](f.long("hold_s"), f.temp("temp_c"), worth(f), f.text("cone"),
    f.number("percent") >= 100 ? words.bits.all : percent(f, "percent")),
  "one-cone-low": (f) => words.lines["one-cone-low"](f.pace("rate_c_per_h"), f.text("low"), f.temp("temp_c"),
    f.text("cone"), percent(f, "percent"), f.has("needs_s") ? words.bits.needs(f.long("needs_s")) : ""),
  "hold-for": (f) => words.lines["hold-for"](f.long("hold_s"), f.temp("temp_c"), f.text("cone")),
  "hold-needless": (f) => words.lines["hold-needless"](f.text("cone"), f.temp("temp_c")),
  "hold-too-long": (f) => words.lines["hold-too-long"](f.temp("temp_c"), f.text("cone")),
  "hold-over-limit": (f) => words.lines["hold-over-limit"](f.temp("temp_c"), f.text("cone"), f.temp("limit_c")),
  phase,
  "kind-unsaid": () => words.lines["kind-unsaid"],
  "last-stretch": (f) => words.lines["last-stretch"](f.difference("width_c"), f.long("took_s"), pace(f)),
  hurry: (f) => words.lines.hurry(f.temp("from_c"), f.temp("to_c"), f.pace("rate_c_per_h"),
    words.hurts[/** @type {keyof typeof words.hurts} */ (f.text("hurts"))]),
  late: (f) => words.lines.late(f.pace("rate_c_per_h"), f.temp("to_c"), f.temp("below_c")),
  dawdle: (f) => (f.data.is_raw ? words.lines["dawdle-raw"] : words.lines.dawdle)(f.long("spent_s"), f.temp("from_c"),
    f.temp("to_c"), f.pace("rate_c_per_h"), f.long("could_s")),
  ends,
  opening: () => words.lines.opening,
  monoxide: () => words.lines.monoxide,
  "over-limit": (f) => words.lines["over-limit"](f.temp("peak_c"), f.temp("limit_c")),
  "too-fast": tooFast,
  "too-fast-raw": tooFastRaw,
  "no-target": () => words.lines["no-target"],
  overfired,
  underfired,
  "out-of-reach": (f) => words.lines["out-of-reach"](reaches(f), f.temp("limit_c")),
  "long-peak-hold": (f) => words.lines["long-peak-hold"](f.long("hold_s"), f.temp("temp_c")),
  "long-hold": (f) => words.lines["long-hold"](f.long("hold_s"), f.temp("temp_c")),
};

/**
 * @param {Part} part
 * @param {string} servers the server's own sentence
 * @param {Unit} unit
 * @returns {Line}
 */
export function lineSaid({ saying, figures }, servers, unit) {
  const f = new Figures(figures, unit);
  const say = LINES[saying];
  const own = say ? orNull(() => say(f)) : null;
  if (own !== null) {
    const isTimed = f.has("start_s");
    return { time: isTimed ? words.bits.span(clock(f, "start_s"), clock(f, "end_s")) : null, text: together(own), lang: null };
  }
  const timed = TIMES.exec(servers);
  return { time: timed ? timed[1] : null, text: together(timed ? timed[2] : servers), lang: language === "en" ? null : "en" };
}

/** A figure and its degrees never part at the end of a line. @param {string} line */
function together(line) {
  return line.replaceAll(" °", "\u00a0°");
}

/** The cautions in words. @param {Explained} plan @param {Unit} unit @returns {Line[]} */
export function cautionsSaid({ cautions, caution_parts: parts }, unit) {
  return cautions.map((text, at) => lineSaid(parts[at], text, unit));
}

/** What it is for, in a sentence. @param {{kind: string | null, atmosphere: string | null, target_cone: string | null}} entry */
export function summaryOf({ kind, atmosphere, target_cone: cone }) {
  return words.summary(words.fires[/** @type {keyof typeof words.fires} */ (kind ?? "other")] ?? words.fires.other,
    words.airs[/** @type {keyof typeof words.airs} */ (atmosphere ?? "oxidation")], cone === null ? "" : words.forCone(cone));
}

/** What a plan is called: its writer's word, but for the starters. @param {{name: string, is_starter: boolean}} entry */
export function nameOf({ name, is_starter: isStarter }) {
  return isStarter ? shellWords.called(name) : name;
}
