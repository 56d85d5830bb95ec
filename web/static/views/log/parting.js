/**
 * A comparison in plain short sentences, worded from its figures: in English word for word as
 * supervisor/core/compare/words.py, but for what the page calls a warning.
 */

import { titleOf } from "../../saying.js";
import { longTime } from "../../sentence.js";
import { showDifference, showTemp } from "../../units.js";
import { hoursMinutes, showRate, tenths } from "./figures.js";
import { words as logWords } from "./words.js";

/** @typedef {import("./asking.js").Against} Against */
/** @typedef {import("./asking.js").Comparison} Comparison */
/** @typedef {import("./asking.js").Difference} Difference */
/** @typedef {import("./asking.js").Parting} Parting */
/** @typedef {import("./asking.js").SoFar} SoFar */
/** @typedef {import("../../types.js").Unit} Unit */

const WORTH = 0.05;
const HELD_S = 60;
const SAME_C = 1;

/** What sentences call a line. @param {import("./asking.js").Line} line */
export function calledOf(line) {
  return line.id === null ? logWords.compare.thePlan : line.letter;
}

/**
 * @param {Against} one
 * @param {Comparison} comparison
 * @param {Unit} unit
 * @returns {string[]}
 */
export function sentencesOf(one, comparison, unit) {
  const reference = calledOf(comparison.lines[0]);
  const alike = one.differences.filter((difference) => difference.is_alike)
    .map(({ what }) => logWords.differs.things[what] ?? what);
  return [
    ...one.so_far.flatMap((now) => (now.name === one.letter
      ? soFarOf(now, one.letter, reference, unit) : soFarOf(now, reference, one.letter, unit))),
    ...partedOf(one, comparison, reference, unit),
    ...one.differences.filter((difference) => !difference.is_alike)
      .flatMap((difference) => differs(difference, reference, one.letter, unit)),
    ...(alike.length ? [logWords.differs.alike(alike.join(", "))] : []),
  ];
}

/** @param {SoFar} now @param {string} who @param {string} against @param {Unit} unit @returns {string[]} */
function soFarOf(now, who, against, unit) {
  const say = logWords.soFar;
  const said = [nowOf(now, who, against, unit)];
  if (now.later_s !== null && now.reached_c !== null) {
    const long = Math.abs(now.later_s);
    const temp = showTemp(now.reached_c, unit);
    said.push(long < HELD_S ? say.together(who, temp, against)
      : (now.later_s > 0 ? say.later : say.earlier)(who, temp, longTime(long), against));
  }
  return [...said, now.has_peaked ? say.peaked(who) : say.notPeaked(who)];
}

/** @param {SoFar} now @param {string} who @param {string} against @param {Unit} unit */
function nowOf(now, who, against, unit) {
  const say = logWords.soFar;
  if (now.at_s === null || now.temp_c === null) return say.cold(who);
  const after = logWords.parted.hours(hoursMinutes(now.at_s));
  /** @param {string} beside */
  const here = (beside) => say.here(who, after, showTemp(now.temp_c ?? 0, unit), beside);
  if (now.against_c === null) return here(say.longer(against));
  const by = now.temp_c - now.against_c;
  if (Math.abs(by) < SAME_C) return here(say.same(against));
  return here((by > 0 ? say.hotter : say.cooler)(showDifference(Math.abs(by), unit), against, showTemp(now.against_c, unit)));
}

/** @param {Against} one @param {Comparison} comparison @param {string} reference @param {Unit} unit */
function partedOf(one, { align }, reference, unit) {
  const say = logWords.parted;
  if (align === "peak" && one.so_far.some((now) => !now.has_peaked)) return [logWords.soFar.noPeak];
  if (!one.has_common) return [say.noCommon(capital(reference), one.letter)];
  const byTemp = align === "temperature";
  if (!one.partings.length) {
    return [say.not(byTemp ? longTime(one.beyond) : showDifference(one.beyond, unit),
      one.both_s === null ? "" : say.both(longTime(one.both_s)))];
  }
  const said = one.partings.map((parting) =>
    byTemp ? byTemperature(parting, one.letter, unit) : byTime(parting, one, align === "peak", unit));
  return one.farthest ? [...said, farthest(one.farthest, one.letter, byTemp, unit)] : said;
}

/** @param {Parting} parting @param {string} who @param {Unit} unit */
function byTemperature(parting, who, unit) {
  const until = parting.until === null ? "" : logWords.parted.until(showTemp(parting.until, unit));
  const say = parting.by > 0 ? logWords.parted.behind : logWords.parted.ahead;
  return say(showTemp(parting.at, unit), who, until, longTime(Math.abs(parting.by)), showTemp(parting.worst_at, unit));
}

/** @param {Parting} parting @param {Against} one @param {boolean} fromPeak @param {Unit} unit */
function byTime(parting, one, fromPeak, unit) {
  const say = logWords.parted;
  const here = showTemp(parting.temp_c ?? 0, unit);
  const by = showDifference(Math.abs(parting.by), unit);
  const until = parting.until === null ? "" : say.untilEnd(say.hours(hoursMinutes(Math.abs(parting.until))));
  const after = say.hours(hoursMinutes(Math.abs(parting.at)));
  const isHotter = parting.by > 0;
  const where = `${here}${stepOf(parting, unit)}`;
  if (!fromPeak) return (isHotter ? say.hotter : say.cooler)(after, where, one.letter, by, until);
  const but = one.peaks_apart_c < 1 ? "" : say.butForPeaks(showDifference(one.peaks_apart_c, unit));
  if (parting.at < 0) return (isHotter ? say.beforePeakHotter : say.beforePeakCooler)(after, `${here}${but}`, one.letter, by);
  return (isHotter ? say.afterPeakHotter : say.afterPeakCooler)(after, `${where}${but}`, one.letter, by, until);
}

/** @param {Parting} parting @param {Unit} unit */
function stepOf({ step }, unit) {
  if (step === null) return "";
  const say = logWords.parted;
  const how = step.doing === "hold" ? say.inHold : step.doing === "climb" ? say.onClimb : say.onWayDown;
  return how(showTemp(step.to_c, unit), String(step.number));
}

/** @param {{at: number, by: number}} most @param {string} who @param {boolean} byTemp @param {Unit} unit */
function farthest({ at, by }, who, byTemp, unit) {
  const say = logWords.parted;
  if (byTemp) return (by > 0 ? say.farthestLater : say.farthestEarlier)(showTemp(at, unit), who, longTime(Math.abs(by)));
  return (by > 0 ? say.farthestHotter : say.farthestCooler)(say.hours(hoursMinutes(at)), who, showDifference(Math.abs(by), unit));
}

/** @param {Difference} one @param {string} reference @param {string} who @param {Unit} unit @returns {string[]} */
function differs(one, reference, who, unit) {
  const say = logWords.differs;
  if (one.what === "warnings") return [warned(one.only_other, who, reference), warned(one.only_reference, reference, who)].flat();
  if (one.what === "opened") return [opened(one, reference, who, unit)];
  if (one.reference === null || one.other === null) return [];
  const by = one.other - one.reference;
  const isMore = by > 0;
  if (one.what === "cones") return cones(one, by, who);
  if (one.what === "peak") {
    return [(isMore ? say.peakHotter : say.peakCooler)(who, showDifference(Math.abs(by), unit), showTemp(one.other, unit), showTemp(one.reference, unit))];
  }
  if (one.what === "evenness") {
    return [(isMore ? say.lessEven : say.moreEven)(who, showDifference(one.other, unit), showDifference(one.reference, unit))];
  }
  if (one.unit === "s") {
    const pairs = {
      hold: [say.heldLonger, say.heldLess], climb: [say.tookLonger, say.tookLess],
      "holds on the way down": [say.dweltLonger, say.dweltLess],
    };
    const pair = pairs[/** @type {keyof typeof pairs} */ (one.what)];
    return pair ? [pair[isMore ? 0 : 1](who, longTime(Math.abs(by)), held(one.other), held(one.reference))] : [];
  }
  if (one.unit !== "c_per_h") return [];
  const rates = /** @type {const} */ ([showRate(one.other, unit), showRate(one.reference, unit)]);
  if (one.what === "last 100 °C") {
    return [(isMore ? say.lastFaster : say.lastSlower)(who, showDifference(100, unit).replace("\u202f", " "), ...rates)];
  }
  return [(isMore ? say.cooledFaster : say.cooledSlower)(who, logWords.differs.where[one.what] ?? one.what, ...rates)];
}

/** @param {number} seconds */
function held(seconds) {
  return seconds < HELD_S ? logWords.differs.none : longTime(seconds);
}

/** @param {Difference} one @param {number} by @param {string} who */
function cones(one, by, who) {
  const say = logWords.differs;
  const said = [(by > 0 ? say.coneMore : say.coneLess)(who, conesOff(by), one.other_cone ?? "", one.reference_cone ?? "")];
  const worth = Object.entries(one.parts)
    .filter(([, part]) => Math.abs(part) >= WORTH)
    .sort(([, left], [, right]) => Math.abs(right) - Math.abs(left))
    .map(([name, part]) => (part > 0 ? say.gaveMore : say.gaveLess)(logWords.differs.part[name] ?? name, conesOff(part)));
  return worth.length ? [...said, `${capital(worth.join(", "))}.`] : said;
}

/** @param {number} cones */
function conesOff(cones) {
  const off = Math.abs(cones);
  return Math.round(off * 10) < 10 ? logWords.differs.ofACone(tenths(off)) : logWords.differs.cones(tenths(off));
}

/** @param {Difference} one @param {string} reference @param {string} who @param {Unit} unit */
function opened(one, reference, who, unit) {
  const say = logWords.differs;
  if (one.other !== null && one.reference !== null) return say.opened(who, showTemp(one.other, unit), reference, showTemp(one.reference, unit));
  if (one.other !== null) return say.openedOne(who, showTemp(one.other, unit), reference);
  return say.openedOne(reference, showTemp(one.reference ?? 0, unit), who);
}

/** @param {string[]} kinds @param {string} who @param {string} other */
function warned(kinds, who, other) {
  if (!kinds.length) return [];
  const things = kinds.map((kind) => logWords.differs.quoted(titleOf({ kind, channel: null, data: {} }))).join(", ");
  return [logWords.differs.warned(who, other, things)];
}

/** @param {string} text */
function capital(text) {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
