/**
 * What an alert says, in the language and scale of this phone. The server's own sentence, which
 * knows more, where it is in both; else worded from the alert's figures; else the server's all the
 * same, and marked as English.
 */

import { longTime } from "./sentence.js";
import { language } from "./settings.js";
import { STEADY_C_PER_H, clock, showDifference, showSigned, showTemp, tight } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").Alert} Alert */
/** @typedef {import("./types.js").Snapshot} Snapshot */
/** @typedef {import("./types.js").Unit} Unit */
/** @typedef {{text: string, lang: string | null}} Said `lang` where it is not the page's own */

/** Alerts worded in two parts, the second of which is where to look. */
const LOOK_APART = ["stall", "heat_lost", "heat_stuck_on"];
/** Where in an English sentence it says what to do. */
const LOOK = /[:.;,] ((?:go and )?look\b.*|switch it off at .*)$/is;

/** Faults for which one touches the probe: as in supervisor/core/sensor_checks.py. */
const HANDS_ON = ["open", "short", "range", "jump", "reversed", "type"];
const HEATED_BY = ["electric", "gas", "wood"];

/** Figures of the server's; asking for one that is not there gives up the wording. */
export class Figures {
  /** @param {Alert["data"]} data @param {Unit} unit */
  constructor(data, unit) {
    this.data = data;
    this.unit = unit;
  }

  /** @param {string} name @returns {number} */
  number(name) {
    const value = this.data[name];
    if (typeof value !== "number") throw new Missing(name);
    return value;
  }

  /** @param {string} name @returns {string} */
  text(name) {
    const value = this.data[name];
    if (typeof value !== "string") throw new Missing(name);
    return value;
  }

  /** @param {string} name */
  has(name) {
    const value = this.data[name];
    return value !== null && value !== undefined;
  }

  /** @param {string} name */
  temp(name) {
    return showTemp(this.number(name), this.unit);
  }

  /** @param {string} name */
  difference(name) {
    return showDifference(this.number(name), this.unit);
  }

  /** @param {string} name */
  long(name) {
    return longTime(this.number(name));
  }

  /** A rate without its direction. @param {string} name */
  pace(name) {
    return words.anHour(showDifference(Math.abs(this.number(name)), this.unit));
  }
}

class Missing extends Error {}

/** What is worded, or null where a figure is missing. @template T @param {() => T} word @returns {T | null} */
export function orNull(word) {
  try {
    return word();
  } catch (error) {
    if (error instanceof Missing) return null;
    throw error;
  }
}

class OfAlert extends Figures {
  /** @param {Alert} alert @param {Unit} unit */
  constructor(alert, unit) {
    super(alert.data, unit);
    this.alert = alert;
  }
}

/** @type {Record<string, (f: OfAlert, by: string) => string[]>} by kind of alert */
const SAYINGS = {
  stall: (f, by) => {
    const pace = f.has("planned_rate_c_per_h") ? f.pace("planned_rate_c_per_h") : words.says.byItself;
    return [words.says.stall(f.temp("temp_c"), pace, f.temp("to_c")), words.advice.stall[by]];
  },
  lagging: (f, by) => [
    f.has("ends_c") ? words.says.dying(f.temp("temp_c"), f.temp("ends_c"), f.temp("to_c"))
    : words.says.lagging(f.long("late_s"), f.pace("rate_c_per_h"), f.pace("planned_rate_c_per_h")),
    words.advice.late[by],
  ],
  heat_lost: (f, by) => [words.says.heatLost(f.temp("temp_c"), f.pace("rate_c_per_h")), words.advice.heatLost[by]],
  heat_stuck_on: (f, by) => [
    f.number("rate_c_per_h") < STEADY_C_PER_H ? words.says.stuckStanding(f.temp("temp_c"))
    : words.says.stuckClimbing(f.pace("rate_c_per_h"), f.temp("temp_c")),
    words.advice.stuckOn[by],
  ],
  over_limit: (f) => [words.says.overLimit(f.temp("temp_c"), f.temp("limit_c"))],
  overshoot: (f) => [words.says.overshoot(f.temp("temp_c"), f.difference("above_c"), f.temp("top_c"))],
  uneven: (f, by) => [
    f.has("left_c") ? words.says.leftBehind(f.text("cold"), f.difference("left_c"))
    : words.says.uneven(f.text("hot"), f.text("cold"), f.difference("apart_c"), f.difference("allowed_c")),
    words.advice.uneven[by],
  ],
  sensor_fault: (f) => {
    const cause = f.text("cause");
    const fault = words.fault[cause];
    if (!fault) throw new Missing(cause);
    const said = words.says.sensor(f.alert.channel ?? "", fault);
    return HANDS_ON.includes(cause) ? [said, words.says.beforeTouching] : [said];
  },
  no_readings: (f) => [words.says.noReadings(f.long("silent_s"))],
  fast_heating: (f) =>
    [words.says.fastHeating(f.pace("rate_c_per_h"), phaseName(f.text("band")), f.pace("fastest_c_per_h"))],
  fast_cooling: (f, by) => [
    f.has("band") ? words.says.fastCooling(f.pace("rate_c_per_h"), phaseName(f.text("band")), f.pace("fastest_c_per_h"))
    : words.says.fallsFast(f.pace("rate_c_per_h"), f.temp("temp_c")),
    words.says.draught(words.advice.coolingFast[by]),
  ],
  cone_near: (f) => {
    const at = clock(f.alert.time, f.number("in_s"));
    const when = at ? words.sentence.aboutAt(at) : words.sentence.within(f.long("in_s"));
    return [words.says.coneNear(words.cones.name(f.text("cone")), when), calculated(f)];
  },
  cone_down: (f) => [words.says.coneDown(words.cones.name(f.text("cone"))), calculated(f)],
  hold_done: (f) => [
    words.says.holdDone(f.temp("to_c")),
    ...(f.alert.data.is_peak ? [words.says.peakHoldDone] : []),
    ...(f.has("short_c") ? [words.says.ifNobodyLetGo] : []),
  ],
  firing_finished: (f) =>
    [words.says.planDone(f.temp("to_c")), ...(f.has("short_c") ? [words.says.ifNobodyLetGo] : [])],
  trend: (f) => {
    const name = f.alert.data.is_short ? "short" : f.text("trend");
    const what = words.says.trends[name];
    if (!what) throw new Missing("trend");
    return [words.says.trend(what)];
  },
  cool_to_open: (f) => [words.says.coolToOpen(f.temp("below_c"))],
};

/** @param {Figures} f */
function calculated(f) {
  const offset = f.has("offset_c") ? f.number("offset_c") : 0;
  return offset === 0 ? words.says.calculated : words.says.corrected(showSigned(offset, f.unit));
}

/**
 * @param {Alert} alert
 * @param {Snapshot} snapshot
 * @param {Unit} unit
 * @returns {Said}
 */
export function sayingOf(alert, snapshot, unit) {
  if (language === "en" && unit === snapshot.units) return { text: tight(alert.message), lang: null };
  const text = worded(alert, snapshot.kiln.kind, unit);
  if (text !== null) return { text, lang: null };
  return { text: tight(alert.message), lang: language === "en" ? null : "en" };
}

/**
 * The same in two parts: what has happened, and what to go and look at, where that can be told apart.
 * @param {Alert} alert
 * @param {Snapshot} snapshot
 * @param {Unit} unit
 * @returns {Said & {look: string | null}}
 */
export function saidApart(alert, snapshot, unit) {
  const said = sayingOf(alert, snapshot, unit);
  const parts = LOOK_APART.includes(alert.kind) ? partsOf(alert, snapshot.kiln.kind, unit) : null;
  if (parts?.join(" ") === said.text) return { ...said, text: parts[0], look: parts.slice(1).join(" ") };
  const found = language === "en" || said.lang === "en" ? LOOK.exec(said.text) : null;
  if (!found) return { ...said, look: null };
  return { ...said, text: `${said.text.slice(0, found.index)}.`, look: found[1][0].toUpperCase() + found[1].slice(1) };
}

/**
 * The alert worded from its figures; null where one is missing or its kind is not known here.
 * @param {Alert} alert
 * @param {string} kilnKind
 * @param {Unit} unit
 */
export function worded(alert, kilnKind, unit) {
  return partsOf(alert, kilnKind, unit)?.join(" ") ?? null;
}

/**
 * @param {Alert} alert
 * @param {string} kilnKind
 * @param {Unit} unit
 * @returns {string[] | null}
 */
function partsOf(alert, kilnKind, unit) {
  const say = SAYINGS[alert.kind];
  return say ? orNull(() => say(new OfAlert(alert, unit), HEATED_BY.includes(kilnKind) ? kilnKind : "other")) : null;
}

/**
 * The kind of an alert or event, and the channel, cone or phase that it is about.
 * @param {{kind: string, channel: string | null, data: Alert["data"]}} what
 */
export function titleOf({ kind, channel, data }) {
  const ofCone = data.cone && words.kindOfCone[kind];
  if (ofCone) return ofCone(words.cones.name(String(data.cone)));
  const title = words.kind[kind] ?? words.otherKind;
  const which = channel ?? (data.band ? phaseName(String(data.band)) : null);
  return which ? words.kindOf(title, which) : title;
}

/** @param {string} name of a phase of the ware */
export function phaseName(name) {
  return words.phase[name] ?? name;
}

/**
 * What is wrong with a channel.
 * @param {import("./types.js").Channel} channel
 * @returns {Said | null}
 */
export function faultOf(channel) {
  if (channel.state === "ok") return null;
  if (channel.fault === null) return { text: words.temps[channel.state], lang: null };
  if (language === "en") return { text: tight(channel.fault), lang: null };
  const fault = channel.cause === null ? undefined : words.fault[channel.cause];
  return fault ? { text: words.says.sensor(channel.name, fault), lang: null } : { text: tight(channel.fault), lang: "en" };
}
