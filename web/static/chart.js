/**
 * The chart of a firing: readings of every channel over the plan line, with what is expected of the
 * kiln, what the ware goes through and what happened. Draws with uPlot; knows how rows grow and
 * where the view stands, nothing of streams or requests.
 *
 * Values are held in °C and seconds and turned into the shown scale when drawn. A missing value
 * is null and leaves a gap. Channels differ by dash as well as by colour.
 */

import { listenToFingers } from "./fingers.js";
import { DASHES } from "./looks.js";
import { drawEvents, drawPhases, eventsNear, phasesAt, worthAMark } from "./marks.js";
import { fetchPlotting, plotting } from "./plot.js";
import { phaseName, titleOf } from "./saying.js";
import { clockShown } from "./settings.js";
import { clock, digits, fromC, secondsOfDay, showElapsed, showTemp } from "./units.js";
import { words } from "./words.js";

const MOST_ROWS = 3000;
const RECENT = 20;
const PLAN_EVERY_S = 600;
const LEAST_VIEW_S = 300;
/** A line that grows by less than this, of the screen's own pixels, looks the same. */
const LEAST_SEEN_PX = 0.5;
const AHEAD_DASH = [2, 4];
const HEIGHT = { share: 0.8, least: 240, most: 420 };
const TICKS_S = [60, 300, 600, 900, 1800, 3600, 7200, 10800, 14400, 21600, 43200, 86400, 172800];

/** @typedef {{min: number, max: number}} View elapsed seconds */

export class FiringChart {
  /**
   * @param {HTMLElement} box where the chart is laid
   * @param {HTMLElement} readout where the values under the finger are told
   * @param {() => void} onFull called when so many rows have come that the chart is to be
   *   fetched anew, thinned
   * @param {(isWhole: boolean) => void} onView called when the view changes
   */
  constructor(box, readout, onFull, onView) {
    this.box = box;
    this.readout = readout;
    this.onFull = onFull;
    this.onView = onView;
    /** @type {import("./types.js").Unit} */
    this.unit = "C";
    /** @type {import("./types.js").Chart | null} */
    this.chart = null;
    /** @type {import("./types.js").Course | null} */
    this.course = null;
    /** @type {View | null} null: the whole firing */
    this.view = null;
    this.face = clockShown();
    /** @type {any} */
    this.plot = null;
    this.names = "";
    /** @type {import("./types.js").Points[]} what came lately, perhaps while a chart was on its way */
    this.recent = [];
    this.frame = 0;
    /** Whether something has come that the frame on its way does not draw. */
    this.isStale = false;
    /** The latest reading that is drawn, elapsed seconds. */
    this.drawnS = -Infinity;
    this.gone = new AbortController();
    this.readout.textContent = hint();
    keepFitting(this, this.gone.signal);
    fetchPlotting().then(() => this.rebuild());
  }

  /** Take the chart off the page for good. */
  remove() {
    this.gone.abort();
    cancelAnimationFrame(this.frame);
    this.plot?.destroy();
    this.plot = null;
    this.chart = null;
  }

  /**
   * @param {import("./types.js").Chart} chart
   * @param {import("./types.js").Course | null} [course] where it is known already, so that both are drawn at once
   */
  show(chart, course = null) {
    if (this.gone.signal.aborted) return;
    this.leaveOther(chart.firing_id);
    this.chart = chart;
    if (course) this.showCourse(course);
    this.recent.forEach((points) => this.append(points));
    const names = Object.keys(chart.channels).join("\n");
    if (!this.plot || names !== this.names) {
      this.names = names;
      this.setView(null);
      this.rebuild();
    } else {
      this.refresh();
    }
  }

  /**
   * What is expected, what the ware goes through and what happened; of another firing it is left.
   * @param {import("./types.js").Course} course
   */
  showCourse(course) {
    if (!this.chart || course.firing_id !== this.chart.firing_id) return;
    this.course = { ...course, events: worthAMark(course.events) };
    this.refresh();
  }

  /**
   * Clears the chart, and the view into it, when it shows another firing than this one.
   * @param {string | null} firingId
   * @returns {boolean} whether it did, so that a chart is to be fetched
   */
  leaveOther(firingId) {
    if (!this.chart || this.chart.firing_id === firingId) return false;
    this.chart = null;
    this.course = null;
    this.plot?.destroy();
    this.plot = null;
    this.setView(null);
    this.readout.textContent = hint();
    return true;
  }

  /** @param {import("./types.js").Points} points */
  add(points) {
    const ofSameFiring = this.recent.filter((earlier) => earlier.firing_id === points.firing_id);
    this.recent = [...ofSameFiring.slice(1 - RECENT), points];
    if (!this.chart) return;
    this.append(points);
    if (this.chart.elapsed_s.length > MOST_ROWS) this.onFull();
    if (this.isSeen()) this.refresh();
  }

  /** Whether what has come since the chart was drawn moves anything on the screen. */
  isSeen() {
    if (!this.plot || !this.chart) return true;
    const { min, max } = this.view ?? this.whole();
    const last = this.chart.elapsed_s.at(-1) ?? -Infinity;
    return last - this.drawnS >= (LEAST_SEEN_PX * (max - min)) / Math.max(1, this.plot.bbox.width);
  }

  /**
   * Takes the rows of the same firing that are newer than those held.
   * @param {import("./types.js").Points} points
   */
  append(points) {
    const chart = /** @type {import("./types.js").Chart} */ (this.chart);
    if (points.firing_id !== chart.firing_id) return;
    const last = chart.elapsed_s.at(-1) ?? -Infinity;
    points.elapsed_s.forEach((at, row) => {
      if (at <= last) return;
      chart.elapsed_s.push(at);
      for (const [name, column] of Object.entries(chart.channels)) {
        column.push(points.channels[name]?.[row] ?? null);
      }
    });
  }

  /** @param {import("./types.js").Unit} unit */
  setUnit(unit) {
    if (unit === this.unit) return;
    this.unit = unit;
    this.refresh();
  }

  /** Times are written on another face of the clock from now on. @param {import("./settings.js").ClockFace} face */
  setClock(face) {
    if (face === this.face) return;
    this.face = face;
    this.rebuild();
  }

  showWhole() {
    this.setView(null);
  }

  /** @returns {View} */
  whole() {
    const { elapsed_s: at = [], plan = { elapsed_s: [], temp_c: [] } } = this.chart ?? {};
    const min = Math.min(at[0] ?? 0, plan.elapsed_s[0] ?? Infinity);
    const ends = [at.at(-1), plan.elapsed_s.at(-1), this.chart?.until_s, this.course?.ahead?.elapsed_s.at(-1)];
    const max = Math.max(0, ...ends.map((end) => end ?? 0));
    return { min, max: Math.max(max, min + LEAST_VIEW_S) };
  }

  /** @param {View | null} view */
  setView(view) {
    const whole = this.whole();
    if (view) {
      const width = Math.max(LEAST_VIEW_S, view.max - view.min);
      const min = Math.min(Math.max(view.min, whole.min), whole.max - width);
      view = width >= whole.max - whole.min ? null : { min, max: min + width };
    }
    this.view = view;
    this.plot?.setScale("x", view ?? whole);
    this.onView(view === null);
  }

  /**
   * Draw at most once in two frames of the screen, whatever arrives: one to lay out the rows, one to
   * draw them, so that a slow phone hears a finger between the two.
   */
  refresh() {
    this.isStale = true;
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => {
      this.isStale = false;
      const columns = this.chart ? this.columns() : null;
      const last = this.chart?.elapsed_s.at(-1) ?? -Infinity;
      this.frame = requestAnimationFrame(() => {
        this.frame = 0;
        // Another firing's rows, or those of fewer channels, are not for this plot any more.
        if (columns && this.plot && this.chart && columns.length === this.plot.series.length) {
          this.plot.setData(columns, false);
          this.plot.setScale("x", this.view ?? this.whole());
          this.drawnS = last;
          this.tell(this.plot.cursor.idx);
        }
        if (this.isStale) this.refresh();
      });
    });
  }

  /** Rows of readings, of the plan and of what is expected on one time axis. */
  columns() {
    const chart = /** @type {import("./types.js").Chart} */ (this.chart);
    const plan = planAt(chart.plan);
    const names = Object.keys(chart.channels);
    const last = chart.elapsed_s.at(-1) ?? -Infinity;
    const ahead = aheadAfter(this.course?.ahead ?? null, last);
    const extra = [...planTimes(chart.plan), ...ahead.at].sort((one, other) => one - other);
    /** @type {number[]} */
    const times = [];
    /** @type {(number | null | undefined)[][]} */
    const columns = [[], [], [], [], ...names.map(() => [])];
    /** @param {number | null | undefined} value */
    const shown = (value) => (typeof value === "number" ? fromC(value, this.unit) : value);
    let row = 0;
    let next = 0;
    let soon = 0;
    while (row < chart.elapsed_s.length || next < extra.length) {
      const isReading = row < chart.elapsed_s.length &&
        (next >= extra.length || chart.elapsed_s[row] <= extra[next]);
      const at = isReading ? chart.elapsed_s[row] : extra[next];
      while (at === extra[next]) next += 1;
      times.push(at);
      columns[0].push(shown(plan(at)));
      // undefined is "not asked at this time" and is drawn across; null is a gap.
      const isAhead = ahead.at[soon] === at;
      [ahead.low, ahead.high, ahead.temp].forEach((values, index) =>
        columns[index + 1].push(isAhead ? shown(values[soon]) : undefined));
      if (isAhead) soon += 1;
      names.forEach((name, index) => {
        columns[index + 4].push(isReading ? shown(chart.channels[name][row]) : undefined);
      });
      if (isReading) row += 1;
    }
    return [times, ...columns];
  }

  rebuild() {
    const Plot = plotting();
    if (Plot === null) this.readout.textContent = words.chart.missing;
    if (!Plot || !this.chart) return;
    this.plot?.destroy();
    const css = getComputedStyle(document.documentElement);
    /** @param {string} name */
    const colour = (name) => css.getPropertyValue(name).trim();
    const axis = {
      stroke: colour("--muted"),
      grid: { stroke: colour("--line"), width: 1 },
      ticks: { stroke: colour("--line"), width: 1, size: 4 },
      font: "12px system-ui, sans-serif",
    };
    const channels = Object.keys(this.chart.channels).map((name, index) => ({
      label: name,
      stroke: colour(`--channel-${index % DASHES.length}`),
      dash: DASHES[index % DASHES.length],
      width: 2,
      pxAlign: 0,
      points: { show: false },
    }));
    this.plot = new Plot(
      {
        ...this.size(),
        legend: { show: false },
        padding: [10, 18, 0, 0],
        cursor: {
          y: false,
          drag: { x: true, y: false, setScale: false },
          points: { size: 7 },
          bind: {
            dblclick: () => () => this.showWhole(),
            // Once it is stretched, a mouse moves the chart as a finger does.
            mousedown: (/** @type {any} */ _, /** @type {any} */ __, /** @type {(event: Event) => void} */ select) =>
              (/** @type {Event} */ event) => {
                if (!this.view) select(event);
              },
          },
        },
        scales: { x: { time: false }, y: { range: roomy } },
        axes: [
          {
            ...axis,
            size: 34,
            space: 56,
            splits: (/** @type {any} */ plot, /** @type {number} */ _, /** @type {number} */ min, /** @type {number} */ max) =>
              this.ticks(min, max, plot.bbox.width / devicePixelRatio),
            values: (/** @type {any} */ _, /** @type {number[]} */ at) => at.map((s) => this.when(s)),
          },
          {
            ...axis,
            size: 54,
            values: (/** @type {any} */ _, /** @type {number[]} */ at) => at.map((v) => `${digits(v)}°`),
          },
        ],
        series: [
          {},
          { label: words.chart.plan, stroke: colour("--plan"), width: 5, pxAlign: 0, points: { show: false } },
          { label: "low", stroke: "transparent", width: 0, pxAlign: 0, points: { show: false } },
          { label: "high", stroke: "transparent", width: 0, pxAlign: 0, points: { show: false } },
          { label: words.chart.ahead, stroke: colour("--ink"), width: 2, dash: AHEAD_DASH, pxAlign: 0, points: { show: false } },
          ...channels,
        ],
        bands: [{ series: [3, 2], fill: colour("--band") }],
        hooks: {
          setCursor: [(/** @type {any} */ plot) => this.tell(plot.cursor.idx)],
          setSelect: [(/** @type {any} */ plot) => this.zoomTo(plot)],
          drawAxes: [(/** @type {any} */ plot) => {
            if (plot.data[0].length) drawPhases(plot, this.course?.phases ?? [], { shade: colour("--shade"), ink: colour("--muted") });
          }],
          draw: [(/** @type {any} */ plot) => {
            if (!plot.data[0].length) return;
            this.markNow(plot, colour("--ink"));
            drawEvents(plot, this.course?.events ?? [], { ink: colour("--ink"), ground: colour("--panel") });
          }],
        },
      },
      [[], [], [], [], [], ...channels.map(() => [])],
      this.box,
    );
    this.box.querySelector("canvas")?.setAttribute("aria-hidden", "true");
    listenToFingers(this.plot.over, () => this.view, () => this.whole(), (view) => this.setView(view));
    this.refresh();
  }

  size() {
    const width = Math.max(200, Math.floor(this.box.clientWidth));
    const height = Math.min(HEIGHT.most, Math.max(HEIGHT.least, Math.round(width * HEIGHT.share)));
    return { width, height };
  }

  /**
   * Ticks on round times of the kiln's clock, or of the firing when it has none.
   * @param {number} min
   * @param {number} max
   * @param {number} width in CSS pixels
   */
  ticks(min, max, width) {
    const most = Math.max(2, Math.floor(width / (this.face === "12" ? 72 : 58)));
    const every = TICKS_S.find((s) => (max - min) / s <= most) ?? TICKS_S[TICKS_S.length - 1];
    const offset = secondsOfDay(this.chart?.start_time ?? null) ?? 0;
    const ticks = [];
    for (let at = Math.ceil((min + offset) / every) * every - offset; at <= max; at += every) ticks.push(at);
    return ticks;
  }

  /** @param {number} elapsedS */
  when(elapsedS) {
    return clock(this.chart?.start_time ?? null, elapsedS) ?? showElapsed(elapsedS);
  }

  /** @param {number | null | undefined} row under the finger */
  tell(row) {
    const plot = this.plot;
    if (!plot || !this.chart) return;
    const at = row === null || row === undefined ? undefined : plot.data[0][row];
    if (at === undefined) {
      this.readout.textContent = hint();
      return;
    }
    const names = Object.keys(this.chart.channels);
    const told = ([words.chart.plan, , , words.chart.ahead, ...names]).flatMap((name, index) => {
      const value = name ? nearest(plot.data[0], plot.data[index + 1], row ?? 0) : null;
      return typeof value === "number" ? [`${name}\u00a0${digits(value)}°`] : [];
    });
    const course = this.course ?? { phases: [], events: [] };
    told.push(...phasesAt(course.phases, at).map((phase) => phaseName(phase.name)));
    const events = eventsNear(plot, course.events, at)
      .map((event) => words.chart.event(this.when(event.elapsed_s), titleOf(event)));
    this.readout.textContent = [words.chart.at(this.when(at), told.join(" · ")), ...events].join(" ");
  }

  /**
   * A thin upright line at the latest reading parts what was from what is planned.
   * @param {any} plot
   * @param {string} ink
   */
  markNow(plot, ink) {
    const last = this.chart?.elapsed_s.at(-1);
    if (last === undefined || last < plot.scales.x.min || last > plot.scales.x.max) return;
    const x = Math.round(plot.valToPos(last, "x", true));
    const { ctx, bbox } = plot;
    ctx.save();
    ctx.strokeStyle = ink;
    ctx.globalAlpha = 0.55;
    ctx.lineWidth = devicePixelRatio;
    ctx.setLineDash([]);
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
    ctx.restore();
  }

  /** @param {any} plot */
  zoomTo(plot) {
    const { left, width } = plot.select;
    if (width < 8) return;
    const view = { min: plot.posToVal(left, "x"), max: plot.posToVal(left + width, "x") };
    plot.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
    this.setView(view);
  }
}

/** How one looks closer, by what points here. */
function hint() {
  return matchMedia("(pointer: fine)").matches ? words.chart.closerByMouse : words.chart.closer;
}

/**
 * A scale with a little room above and below, never flatter than 20 degrees.
 * @param {any} _
 * @param {number | null} low
 * @param {number | null} high
 * @returns {[number, number]}
 */
function roomy(_, low, high) {
  if (low === null || high === null) return [0, 100];
  const room = Math.max(10, (high - low) * 0.06);
  return [low - room, high + room];
}

/**
 * @param {{elapsed_s: number[], temp_c: number[]}} plan
 * @returns {(elapsedS: number) => number | null} to be asked with rising times
 */
function planAt({ elapsed_s: at, temp_c: temps }) {
  let leg = 1;
  return (elapsedS) => {
    if (!at.length || elapsedS < at[0] || elapsedS > at[at.length - 1]) return null;
    while (leg < at.length - 1 && at[leg] < elapsedS) leg += 1;
    if (at.length === 1 || at[leg] === at[leg - 1]) return temps[Math.min(leg, temps.length - 1)];
    const share = (elapsedS - at[leg - 1]) / (at[leg] - at[leg - 1]);
    return temps[leg - 1] + share * (temps[leg] - temps[leg - 1]);
  };
}

/**
 * What is expected after the latest reading.
 * @param {import("./types.js").Ahead | null} ahead
 * @param {number} lastS
 */
function aheadAfter(ahead, lastS) {
  if (!ahead) return { at: [], temp: [], low: [], high: [] };
  const first = ahead.elapsed_s.findIndex((at) => at >= lastS);
  const from = first < 0 ? ahead.elapsed_s.length : first;
  return {
    at: ahead.elapsed_s.slice(from),
    temp: ahead.temp_c.slice(from),
    low: ahead.low_c.slice(from),
    high: ahead.high_c.slice(from),
  };
}

/**
 * The plan's own points, and points between so that a narrow view of the time to come has some.
 * @param {{elapsed_s: number[]}} plan
 */
function planTimes({ elapsed_s: at }) {
  return at.flatMap((from, leg) => {
    const to = at[leg + 1] ?? from;
    const parts = Math.max(1, Math.ceil((to - from) / PLAN_EVERY_S));
    return Array.from({ length: parts }, (_, part) => from + ((to - from) * part) / parts);
  });
}

/**
 * The value at a row, or the nearest asked one beside it.
 * @param {number[]} times
 * @param {(number | null | undefined)[]} column
 * @param {number} row
 */
function nearest(times, column, row) {
  for (let off = 0; off < 3; off += 1) {
    for (const at of [row - off, row + off]) {
      if (at >= 0 && at < times.length && column[at] !== undefined) return column[at];
    }
  }
  return null;
}

/**
 * Value with its unit, for the chart's spoken label.
 * @param {import("./types.js").Snapshot} snapshot
 * @param {import("./types.js").Unit} unit
 */
export function spoken(snapshot, unit) {
  const now = snapshot.channels
    .map(({ name, temp_c: temp }) => `${name} ${temp === null ? words.temps.none : showTemp(temp, unit)}`);
  return `${words.chart.label}. ${now.join(", ")}.`;
}

/**
 * Keeps a chart as wide as its box and in the colours of day or dark.
 * @param {{box: HTMLElement, plot: any, size: () => {width: number, height: number}, rebuild: () => void}} chart
 * @param {AbortSignal} gone
 */
export function keepFitting(chart, gone) {
  const resized = new ResizeObserver(() => {
    const { plot } = chart;
    const { width, height } = chart.size();
    if (plot && (width !== plot.width || height !== plot.height)) plot.setSize({ width, height });
  });
  resized.observe(chart.box);
  gone.addEventListener("abort", () => resized.disconnect());
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => chart.rebuild(), { signal: gone });
}
