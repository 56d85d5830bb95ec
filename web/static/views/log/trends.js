/**
 * A kiln followed over its firings: what is worth seeing to first, each trend with its sentences, a
 * small drawing and its figures.
 */

import { make, makeSvg, say, sayWhy, sign } from "../../dom.js";
import { addressOf } from "../../places.js";
import { clockShown } from "../../settings.js";
import { showDifference } from "../../units.js";
import { askTrends } from "./asking.js";
import { dateOf, hoursMinutes } from "./figures.js";
import { figureOf, sayingsOf } from "./following.js";
import { halves } from "./ways.js";
import { words as logWords } from "./words.js";

/** @typedef {import("./asking.js").Trend} Trend */
/** @typedef {import("./asking.js").Trends} Trends */
/** @typedef {import("../../types.js").Unit} Unit */

const BOX = { width: 320, height: 104, pad: 9, scale: 74, days: 14 };

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 */
export async function show(root, { live, place, signal }) {
  const status = make("p", { class: "log-count", role: "status" }, logWords.looking);
  const kiln = /** @type {HTMLSelectElement} */ (make("select", { id: "log-trend-kiln" }));
  const since = /** @type {HTMLSelectElement} */ (make("select", { id: "log-trend-since" }));
  const kilnRow = make("div", { hidden: true }, make("label", { for: "log-trend-kiln" }, logWords.trends.kiln), kiln);
  const sinceRow = make("div", { hidden: true }, make("label", { for: "log-trend-since" }, logWords.trends.since), since);
  const shown = make("div", { class: "log-trends" });
  root.append(halves("trends"),
    make("section", { class: "panel", "aria-labelledby": "log-trends-heading" },
      make("h2", { id: "log-trends-heading" }, logWords.trends.heading),
      make("p", {}, logWords.trends.about), make("div", { class: "log-fields" }, kilnRow, sinceRow), status),
    shown);
  let wanted = { kiln: place.query.get("kiln") ?? "", since: place.query.get("since") ?? "" };
  /** @type {Trends | null} */
  let found = null;
  let drawn = "";
  let asked = 0;

  async function fetchAll() {
    const turn = ++asked;
    const query = Object.fromEntries(Object.entries(wanted).filter(([, value]) => value));
    try {
      const answer = await askTrends(query);
      if (turn !== asked || signal.aborted) return;
      found = answer;
      history.replaceState(null, "", addressOf("log", null, { trends: "", ...query }));
      offer(answer);
      draw();
    } catch (error) {
      if (turn === asked) sayWhy(status, error, logWords.failed);
    }
  }

  /** @param {Trends} answer */
  function offer(answer) {
    kilnRow.hidden = answer.kilns.length < 2;
    kiln.replaceChildren(...answer.kilns.map((one) => make("option", { value: one }, one)));
    kiln.value = answer.kiln ?? "";
    // Only while all are looked at the list has all of them.
    if (wanted.since && since.options.length) return;
    /** @type {Map<string, string | null>} */
    const firings = new Map();
    answer.trends.flatMap((trend) => trend.values).sort((one, other) => other.number - one.number)
      .forEach((value) => firings.set(value.firing, value.started_at));
    if (wanted.since && !firings.has(wanted.since)) firings.set(wanted.since, null);
    sinceRow.hidden = firings.size < 2 && !wanted.since;
    since.replaceChildren(make("option", { value: "" }, logWords.trends.fromAll),
      ...[...firings].map(([id, label]) => make("option", { value: id }, [dateOf(label), id].filter(Boolean).join(" · "))));
    since.value = wanted.since;
  }

  function draw() {
    if (!found) return;
    drawn = `${live.unit()} ${clockShown()}`;
    say(status, [
      logWords.trends.of(logWords.list.firings(found.firings)),
      found.waiting ? logWords.trends.waiting(found.waiting) : "",
      found.trends.length ? "" : logWords.trends.nothing,
    ].filter(Boolean).join(" "));
    shown.replaceChildren(...found.trends.map((trend) => panel(trend, live.unit())));
  }

  kiln.addEventListener("change", () => {
    wanted = { kiln: kiln.value, since: "" };
    since.replaceChildren();
    fetchAll();
  });
  since.addEventListener("change", () => {
    wanted = { kiln: kiln.value, since: since.value };
    fetchAll();
  });
  await fetchAll();
  live.listen({
    onSnapshot() {
      if (drawn && drawn !== `${live.unit()} ${clockShown()}`) draw();
    },
  }, signal);
}

/** A figure beside the drawing, where an hour is meant without a word. @param {Trend} trend @param {number} value @param {Unit} unit */
function shortOf(trend, value, unit) {
  if (trend.kind === "climb") return showDifference(value, unit);
  return trend.kind === "late" ? hoursMinutes(value) : figureOf(trend, value, unit);
}

/** @param {Trend} trend @param {Unit} unit */
function panel(trend, unit) {
  const name = logWords.trends.kind[trend.kind];
  const title = trend.of === null ? name : logWords.trends.named(name, trend.of);
  const rows = [...trend.values].reverse().map((value) => make("li", {},
    make("a", { href: addressOf("log", value.firing) }, dateOf(value.started_at) ?? value.firing),
    make("span", {}, value.is_at_least ? logWords.trends.atLeast(figureOf(trend, value.value, unit)) : figureOf(trend, value.value, unit))));
  return make("section", { class: `panel${trend.is_worth_a_warning ? " log-trend-warned" : ""}` },
    make("h2", {}, title),
    trend.is_worth_a_warning ? make("p", { class: "log-trend-warning" }, sign("warning"), make("strong", {}, logWords.trends.warning)) : null,
    plot(trend, title, unit),
    make("ul", { class: "log-said" }, ...sayingsOf(trend, unit).map((sentence) => make("li", {}, sentence))),
    make("details", { class: "more" }, make("summary", {}, logWords.trends.figures), make("ul", { class: "log-values" }, ...rows)));
}

/**
 * The figures firing by firing, with the line through them where there is a trend, and what the plan
 * needs where that is known.
 * @param {Trend} trend
 * @param {string} title
 * @param {Unit} unit
 */
function plot(trend, title, unit) {
  const { values, line, limit, forecast, verdict } = trend;
  if (values.length < 2) return null;
  const isTold = line !== null && (verdict === "rises" || verdict === "falls");
  const measured = values.filter((one) => !one.is_at_least);
  const ends = isTold && line ? [line.first, line.last] : [];
  const all = [...values.map(({ value }) => value), ...ends, ...(limit === null ? [] : [limit])];
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const first = values[0].number;
  const now = values[values.length - 1].number;
  const expected = forecast && forecast.expected !== null && forecast.expected > now ? forecast.expected : null;
  const last = expected === null ? now : Math.min(expected, now + (now - first) * 0.6 + 2);
  const across = (/** @type {number} */ number) => BOX.scale + ((number - first) / Math.max(last - first, 1)) * (BOX.width - BOX.scale - BOX.pad);
  const up = (/** @type {number} */ value) => BOX.height - BOX.pad - ((value - low) / Math.max(high - low, 1e-6)) * (BOX.height - 2 * BOX.pad);
  const shapes = values.map((one) => (one.is_at_least
    ? makeSvg("path", { class: "log-plot-bound", d: `M${across(one.number)} ${up(one.value) - 6}l4 6h-8Z` })
    : makeSvg("circle", { class: "log-plot-point", cx: String(across(one.number)), cy: String(up(one.value)), r: "3.5" })));
  for (const value of high > low ? [high, low] : [high]) {
    shapes.push(makeSvg("text", { x: String(BOX.scale - 2 * BOX.pad), y: String(up(value) + 4), "text-anchor": "end" },
      document.createTextNode(shortOf(trend, value, unit))));
  }
  if (limit !== null) {
    shapes.push(makeSvg("line", { class: "log-plot-limit", x1: String(BOX.scale - BOX.pad), x2: String(BOX.width), y1: String(up(limit)), y2: String(up(limit)) }));
  }
  if (isTold && line && measured.length > 1) {
    const [from, to] = [measured[0].number, measured[measured.length - 1].number];
    shapes.push(makeSvg("line", {
      class: "log-plot-line", x1: String(across(from)), y1: String(up(line.first)), x2: String(across(to)), y2: String(up(line.last)),
    }));
    if (expected !== null) {
      shapes.push(makeSvg("line", {
        class: "log-plot-ahead", x1: String(across(to)), y1: String(up(line.last)),
        x2: String(across(last)), y2: String(up(line.last + line.slope * (last - to))),
      }));
    }
  }
  // Which firing is which: the first and the last that are drawn have their days below them.
  const days = [values[0], values[values.length - 1]].map(({ started_at: label }) => dateOf(label));
  days.forEach((day, at) => {
    if (day === null || (at && day === days[0])) return;
    const x = at ? Math.max(across(now), BOX.width * 0.7) : BOX.scale;
    shapes.push(makeSvg("text", { x: String(x), y: String(BOX.height + BOX.days - 3), "text-anchor": at ? "end" : "start" }, document.createTextNode(day)));
  });
  const bounds = values.some((one) => one.is_at_least);
  return make("div", {},
    makeSvg("svg", {
      class: "log-plot", viewBox: `0 0 ${BOX.width} ${BOX.height + BOX.days}`, role: "img",
      "aria-label": logWords.trends.plot(title, figureOf(trend, values[0].value, unit), figureOf(trend, values[values.length - 1].value, unit)),
    }, ...shapes),
    limit === null ? null : make("p", { class: "log-plot-key" }, logWords.trends.limit),
    bounds ? make("p", { class: "log-plot-key log-plot-key-bound" }, logWords.trends.bound) : null);
}
