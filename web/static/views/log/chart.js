/**
 * The chart of a past firing, as the watch draws the one that goes on; looked at more closely, its
 * rows are fetched closer together.
 */

import { FiringChart } from "../../chart.js";
import { make, sayWhy } from "../../dom.js";
import { swatch } from "../../looks.js";
import { clockShown } from "../../settings.js";
import { words } from "../../words.js";
import { askChart } from "./asking.js";
import { words as logWords } from "./words.js";

/** @typedef {import("./asking.js").Firing} Firing */
/** @typedef {import("./asking.js").ArchivedChart} ArchivedChart */

const ROWS = 1500;
const REST_MS = 250;
/** A view that has less than so much of what was fetched last is fetched anew. */
const CLOSER = 1 / 3;

/**
 * @param {Firing} firing
 * @param {import("../../live.js").Live} live
 * @param {AbortSignal} signal
 */
export function chartPanel(firing, live, signal) {
  const box = make("div", { class: "chart-box", role: "img", "aria-label": logWords.chart.label(words.called(firing.name) || firing.id) });
  const readout = make("p", { class: "readout" });
  const whole = make("button", { type: "button", class: "small", disabled: true }, words.chart.whole);
  const section = make("section", { class: "panel log-chart", "aria-labelledby": "log-chart-heading" },
    make("div", { class: "panel-head" }, make("h2", { id: "log-chart-heading" }, logWords.chart.heading), whole),
    box, readout,
    make("ul", { class: "log-key" },
      ...firing.channels.map((name, index) => make("li", {}, swatch(index), make("span", {}, name))),
      firing.schedule_toml === null ? null : make("li", {}, make("span", { class: "log-plan-key" }), make("span", {}, words.chart.plan))),
    make("p", { class: "small-print" }, logWords.chart.legend));
  /** @type {ArchivedChart | null} */
  let overview = null;
  /** @type {{min: number, max: number} | null} what lies between is known closely */
  let known = null;
  let resting = 0;

  function begin() {
    const chart = new FiringChart(box, readout, () => {}, (isWhole) => {
      whole.toggleAttribute("disabled", isWhole);
      clearTimeout(resting);
      if (!isWhole) resting = setTimeout(lookCloser, REST_MS);
    });
    whole.addEventListener("click", () => chart.showWhole());
    signal.addEventListener("abort", () => {
      clearTimeout(resting);
      chart.remove();
    });
    live.listen({
      onSnapshot() {
        chart.setUnit(live.unit());
        chart.setClock(clockShown());
      },
    }, signal);
    fetchAll();

    async function fetchAll() {
      try {
        overview = await askChart(firing.id, ROWS);
        if (signal.aborted) return;
        chart.show(charted(overview));
        chart.showCourse(courseOf(firing));
      } catch (error) {
        sayWhy(readout, error, logWords.failed);
      }
    }

    async function lookCloser() {
      const { view } = chart;
      if (!view || !overview || overview.elapsed_s.length >= firing.readings) return;
      const span = view.max - view.min;
      const isKnown = known !== null && known.min <= view.min && known.max >= view.max;
      if (isKnown && known && span > CLOSER * (known.max - known.min)) return;
      const wanted = { min: Math.max(view.min - span / 2, overview.elapsed_s[0] ?? 0), max: view.max + span / 2 };
      try {
        const closer = await askChart(firing.id, ROWS, wanted);
        if (signal.aborted || !closer.elapsed_s.length) return;
        known = wanted;
        chart.show(charted(merged(overview, closer)));
      } catch {
        // What is shown stays; the next move asks again.
      }
    }
  }

  return { section, begin };
}

/** @param {ArchivedChart} chart @returns {import("../../types.js").Chart} */
function charted(chart) {
  return { ...chart, channels: { ...chart.channels }, chart_revision: 0, revision: 0 };
}

/**
 * The rows of a span in the place of those that the whole firing has there.
 * @param {ArchivedChart} all
 * @param {ArchivedChart} part
 * @returns {ArchivedChart}
 */
export function merged(all, part) {
  const first = part.elapsed_s[0];
  const last = part.elapsed_s[part.elapsed_s.length - 1];
  const before = all.elapsed_s.filter((at) => at < first).length;
  const after = all.elapsed_s.findIndex((at) => at > last);
  const rest = after < 0 ? all.elapsed_s.length : after;
  /** @template T @param {T[]} whole @param {T[]} middle @returns {T[]} */
  const spliced = (whole, middle) => [...whole.slice(0, before), ...middle, ...whole.slice(rest)];
  return {
    ...all,
    elapsed_s: spliced(all.elapsed_s, part.elapsed_s),
    channels: Object.fromEntries(Object.entries(all.channels).map(([name, column]) =>
      [name, spliced(column, part.channels[name] ?? part.elapsed_s.map(() => null))])),
  };
}

/** @param {Firing} firing @returns {import("../../types.js").Course} */
function courseOf(firing) {
  const phases = firing.facts.bands.flatMap(({ name, passage }) =>
    passage.entered_s === null || passage.left_s === null ? []
    : [{ name, from_s: passage.entered_s, to_s: passage.left_s }]);
  phases.sort((one, other) => one.from_s - other.from_s);
  return { firing_id: firing.id, ahead: null, phases, events: firing.events, revision: 0 };
}
