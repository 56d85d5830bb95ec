/**
 * A trend in plain sentences, worded from its figures: in English word for word as
 * supervisor/core/trends/wording.py.
 */

import { locale } from "../../settings.js";
import { longTime } from "../../sentence.js";
import { digits, showDifference, showTemp } from "../../units.js";
import { words } from "../../words.js";
import { fineDifference, showRate, signed, tenths } from "./figures.js";
import { words as logWords } from "./words.js";

/** @typedef {import("./asking.js").Trend} Trend */
/** @typedef {import("../../types.js").Unit} Unit */

/** As LEAST_POINTS of supervisor/core/trends/theil_sen.py. */
const LEAST_POINTS = 5;
const LATELY = 5;
/** As _TO_THE_MINUTE_S of supervisor/core/trends/wording.py. */
const TO_THE_MINUTE_S = 59.5;
const whole = new Intl.NumberFormat(locale, { maximumFractionDigits: 0 });

/** @param {number} count */
function firings(count) {
  return logWords.trends.firings(count);
}

/** A figure of the trend as a person reads it. @param {Trend} trend @param {number} value @param {Unit} unit */
export function figureOf(trend, value, unit) {
  if (trend.kind === "climb") return words.anHour(showDifference(value, unit));
  if (trend.kind === "drift") return signed(value, fineDifference(value, unit));
  if (trend.kind === "evenness") return showDifference(value, unit);
  if (trend.kind === "late") return Math.abs(value) < TO_THE_MINUTE_S ? logWords.figures.asPlanned : signed(value, longTime(Math.abs(value)));
  return trend.kind === "energy" ? logWords.trends.kwh(whole.format(value)) : digits(value);
}

/** @param {Trend} trend @param {Unit} unit @returns {string[]} */
export function sayingsOf(trend, unit) {
  const say = logWords.follows;
  const last = trend.values[trend.values.length - 1];
  const seen = firings(trend.values.length);
  const what = logWords.follows.what[trend.kind];
  /** @param {number} difference */
  const fine = (difference) => fineDifference(difference, unit);
  switch (trend.kind) {
    case "climb":
      return climb(trend, unit);
    case "drift":
      return [
        say.needs(trend.of ?? "", signed(last.value, showDifference(Math.abs(last.value), unit)), last.firing, seen),
        slope(trend, fine, what),
        ...(trend.is_worth_a_warning ? [trend.verdict === "rises" ? say.readsLess : say.readsMore] : []),
      ];
    case "evenness":
      return [
        say.apart(showDifference(last.value, unit), last.firing), slope(trend, fine, what),
        ...(trend.is_worth_a_warning ? [say.uneven] : []),
      ];
    case "late":
      return [
        Math.abs(last.value) < TO_THE_MINUTE_S ? say.tookAsPlanned(trend.of ?? "", last.firing)
          : (last.value >= 0 ? say.tookLonger : say.tookShorter)(trend.of ?? "", longTime(Math.abs(last.value)), last.firing),
        slope(trend, (seconds) => logWords.trends.min(whole.format(Math.abs(seconds) / 60)), what),
        ...(trend.is_worth_a_warning ? [say.longerAndLonger] : []),
      ];
    case "energy":
      return [
        say.energy(trend.of ?? "", logWords.trends.kwh(whole.format(last.value)), last.firing),
        slope(trend, (kwh) => logWords.trends.kwh(tenths(kwh)), what),
        ...(trend.is_worth_a_warning ? [say.moreEnergy] : []),
      ];
    default: {
      const lately = trend.values.slice(-LATELY);
      /** @param {Trend["values"]} values */
      const lost = (values) => String(values.filter(({ value }) => value > 0).length);
      return [
        say.losses(lost(trend.values), seen, String(lately.length), lost(lately)),
        ...(trend.is_worth_a_warning ? [say.moreLosses] : []),
      ];
    }
  }
}

/** @param {Trend} trend @param {Unit} unit */
function climb(trend, unit) {
  const say = logWords.follows;
  const at = showTemp(trend.at_c ?? 0, unit);
  const newest = trend.values[trend.values.length - 1];
  const measured = trend.values.filter((one) => !one.is_at_least);
  /** @param {number} rate */
  const rateOf = (rate) => words.anHour(showDifference(rate, unit));
  const lastClimb = rateOf(trend.limit_c_per_h ?? 0);
  if (!measured.length) {
    const said = [say.neverBehind(firings(trend.values.length), at, rateOf(newest.value))];
    if (trend.limit !== null && newest.value >= trend.limit) said.push(say.enough(lastClimb));
    return said;
  }
  const last = measured[measured.length - 1];
  const said = [
    say.climbs(showRate(Math.max(last.value, 0), unit), at, last.firing, firings(measured.length)),
    slope(trend, (rate) => words.anHour(fineDifference(rate, unit)), logWords.follows.what[trend.kind]),
  ];
  if (trend.limit === null || trend.limit_c_per_h === null) return said;
  said.push(say.wants(lastClimb, rateOf(Math.max(trend.limit, 0))));
  if (trend.is_short) said.push(say.short);
  else if (trend.forecast && trend.forecast.expected !== null) said.push(forecast(trend.forecast, trend.forecast.expected));
  return said;
}

/** @param {NonNullable<Trend["forecast"]>} of @param {number} expected */
function forecast({ now, earliest, latest }, expected) {
  const say = logWords.follows;
  const soonest = Math.max(Math.floor(earliest) - now, 0);
  const usual = Math.max(Math.floor(expected) - now, 0);
  const end = latest === null ? say.farMore : say.to(String(Math.max(Math.ceil(latest) - now, 0)));
  return say.forecast(usual === 0 ? say.now : say.fromNow(firings(usual)), String(soonest), end);
}

/** @param {Trend} trend @param {(difference: number) => string} show @param {string} what */
function slope(trend, show, what) {
  const say = logWords.follows;
  const { line } = trend;
  if (trend.verdict === "too_few" || !line || line.low === null || line.high === null) return say.tooFew(String(LEAST_POINTS));
  if (trend.verdict === "none_told") return say.noTrend(what, signed(line.low, show(line.low)), signed(line.high, show(line.high)));
  const [low, high] = [Math.abs(line.low), Math.abs(line.high)].sort((one, other) => one - other);
  return (trend.verdict === "rises" ? say.grows : say.falls)(what, show(line.slope), show(low), show(high));
}
