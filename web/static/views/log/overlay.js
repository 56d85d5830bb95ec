/**
 * Lines of several firings over each other, each told by its colour, its dash and a letter that stands
 * on it; below them how far each is off. Draws with uPlot; knows axes and fingers, no firing.
 */

import { keepFitting } from "../../chart.js";
import { make } from "../../dom.js";
import { listenToFingers } from "../../fingers.js";
import { DASHES, swatch } from "../../looks.js";
import { fetchPlotting, plotting } from "../../plot.js";

/** @typedef {{min: number, max: number}} View */
/**
 * @typedef {object} Drawn
 * @property {number[]} at the axis across, in what is shown
 * @property {{letter: string, look: number | null, values: (number | null)[]}[]} lines look: place in
 *   DASHES, null for the plan
 * @property {number[]} marks places across at which something parted
 * @property {(at: number) => string} across how a place is written
 * @property {(value: number) => string} up how a value is written
 * @property {number[]} steps between ticks across, of which one is chosen
 * @property {number[]} [upSteps] between ticks up
 */

const HEIGHT = { share: 0.62, least: 200, most: 340 };
const ACROSS_PX = 52;
const LETTERS = 12;

export class Overlay {
  /**
   * @param {HTMLElement} box
   * @param {(place: number | null) => void} onPlace told which place of the axis is under the finger
   * @param {(view: View | null) => void} onView told when a person looks closer; null: all of it
   */
  constructor(box, onPlace, onView) {
    this.box = box;
    this.onPlace = onPlace;
    this.onView = onView;
    /** @type {Drawn | null} */
    this.drawn = null;
    /** @type {View | null} */
    this.view = null;
    /** @type {any} */
    this.plot = null;
    this.gone = new AbortController();
    keepFitting(this, this.gone.signal);
    fetchPlotting().then(() => this.rebuild());
  }

  remove() {
    this.gone.abort();
    this.plot?.destroy();
    this.plot = null;
  }

  /** @param {Drawn} drawn */
  show(drawn) {
    this.drawn = drawn;
    this.view = null;
    this.rebuild();
  }

  whole() {
    const at = this.drawn?.at ?? [];
    return { min: at[0] ?? 0, max: at[at.length - 1] ?? 1 };
  }

  /** @param {View | null} view */
  setView(view) {
    const whole = this.whole();
    if (view) {
      const width = Math.max((whole.max - whole.min) / 50, view.max - view.min);
      const min = Math.min(Math.max(view.min, whole.min), whole.max - width);
      view = width >= whole.max - whole.min ? null : { min, max: min + width };
    }
    this.view = view;
    this.plot?.setScale("x", view ?? whole);
  }

  size() {
    const width = Math.max(200, Math.floor(this.box.clientWidth));
    return { width, height: Math.min(HEIGHT.most, Math.max(HEIGHT.least, Math.round(width * HEIGHT.share))) };
  }

  rebuild() {
    const Plot = plotting();
    const { drawn } = this;
    if (!Plot || !drawn) return;
    this.plot?.destroy();
    const css = getComputedStyle(document.documentElement);
    /** @param {string} name */
    const colour = (name) => css.getPropertyValue(name).trim();
    const axis = {
      stroke: colour("--muted"), grid: { stroke: colour("--line"), width: 1 },
      ticks: { stroke: colour("--line"), width: 1, size: 4 }, font: "12px system-ui, sans-serif",
    };
    this.plot = new Plot(
      {
        ...this.size(),
        legend: { show: false },
        padding: [14, 18, 0, 0],
        cursor: {
          y: false,
          drag: { x: true, y: false, setScale: false },
          points: { size: 6 },
          bind: {
            dblclick: () => () => this.look(null),
            mousedown: (/** @type {any} */ _, /** @type {any} */ __, /** @type {(event: Event) => void} */ select) =>
              (/** @type {Event} */ event) => {
                if (!this.view) select(event);
              },
          },
        },
        scales: { x: { time: false }, y: { range: (/** @type {any} */ _, /** @type {number | null} */ low, /** @type {number | null} */ high) => roomy(low, high) } },
        axes: [
          {
            ...axis, size: 34,
            splits: (/** @type {any} */ plot, /** @type {number} */ _, /** @type {number} */ min, /** @type {number} */ max) =>
              ticks(min, max, drawn.steps, plot.bbox.width / devicePixelRatio / ACROSS_PX),
            values: (/** @type {any} */ _, /** @type {number[]} */ at) => at.map(drawn.across),
          },
          {
            ...axis, size: 58,
            ...(drawn.upSteps ? {
              splits: (/** @type {any} */ plot, /** @type {number} */ _, /** @type {number} */ min, /** @type {number} */ max) =>
                ticks(min, max, drawn.upSteps ?? [], plot.bbox.height / devicePixelRatio / 36),
            } : {}),
            values: (/** @type {any} */ _, /** @type {number[]} */ at) => at.map(drawn.up),
          },
        ],
        series: [{}, ...drawn.lines.map(({ look }) => ({
          stroke: look === null ? colour("--plan") : colour(`--channel-${look}`),
          dash: look === null ? [] : DASHES[look],
          width: look === null ? 5 : 2,
          pxAlign: 0, points: { show: false },
        }))],
        hooks: {
          setCursor: [(/** @type {any} */ plot) => this.onPlace(plot.cursor.idx ?? null)],
          setSelect: [(/** @type {any} */ plot) => this.select(plot)],
          draw: [(/** @type {any} */ plot) => drawMarks(plot, drawn, colour)],
        },
      },
      [drawn.at, ...drawn.lines.map(({ values }) => values)],
      this.box,
    );
    this.box.querySelector("canvas")?.setAttribute("aria-hidden", "true");
    listenToFingers(this.plot.over, () => this.view, () => this.whole(), (view) => this.look(view));
    this.plot.setScale("x", this.view ?? this.whole());
  }

  /** A person looks there. @param {View | null} view */
  look(view) {
    this.setView(view);
    this.onView(this.view);
  }

  /** @param {any} plot */
  select(plot) {
    const { left, width } = plot.select;
    if (width < 8) return;
    const view = { min: plot.posToVal(left, "x"), max: plot.posToVal(left + width, "x") };
    plot.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
    this.look(view);
  }
}

/** Where something parted, and the letter of each line upon it. @param {any} plot @param {Drawn} drawn @param {(name: string) => string} colour */
function drawMarks(plot, drawn, colour) {
  const { ctx, bbox } = plot;
  const px = devicePixelRatio;
  ctx.save();
  ctx.strokeStyle = colour("--ink");
  ctx.lineWidth = px;
  ctx.globalAlpha = 0.6;
  ctx.setLineDash([3 * px, 3 * px]);
  for (const at of drawn.marks) {
    const x = plot.valToPos(at, "x", true);
    if (x < bbox.left || x > bbox.left + bbox.width) continue;
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
  }
  ctx.globalAlpha = 1;
  ctx.font = `bold ${LETTERS * px}px system-ui, sans-serif`;
  ctx.textAlign = "center";
  ctx.textBaseline = "middle";
  const { min, max } = plot.scales.x;
  const seen = drawn.at.flatMap((at, place) => (at >= min && at <= max ? [place] : []));
  drawn.lines.forEach(({ letter, look, values }, index) => {
    const there = seen.filter((place) => values[place] !== null);
    // Each stands on another part of its line, so that they don't lie upon each other.
    const place = there[Math.floor(there.length * (0.15 + 0.7 * ((index + 0.5) / drawn.lines.length)))];
    if (place === undefined) return;
    const x = plot.valToPos(drawn.at[place], "x", true);
    const y = plot.valToPos(values[place], "y", true);
    const text = look === null ? "P" : letter;
    ctx.beginPath();
    ctx.arc(x, y, LETTERS * 0.85 * px, 0, 2 * Math.PI);
    ctx.fillStyle = colour("--panel");
    ctx.fill();
    ctx.setLineDash([]);
    ctx.lineWidth = 1.5 * px;
    ctx.strokeStyle = look === null ? colour("--plan") : colour(`--channel-${look}`);
    ctx.stroke();
    ctx.fillStyle = colour("--ink");
    ctx.fillText(text, x, y + px);
  });
  ctx.restore();
}

/** @param {number | null} low @param {number | null} high @returns {[number, number]} */
function roomy(low, high) {
  if (low === null || high === null) return [0, 1];
  const room = Math.max(1, (high - low) * 0.08);
  return [low - room, high + room];
}

/** @param {number} min @param {number} max @param {number[]} steps @param {number} most */
function ticks(min, max, steps, most) {
  const every = steps.find((step) => (max - min) / step <= Math.max(2, most)) ?? steps[steps.length - 1];
  const found = [];
  for (let at = Math.ceil(min / every) * every; at <= max; at += every) found.push(at);
  return found;
}

/** The line that stands for a firing, or for the plan, beside its name. @param {number | null} look */
export function keySwatch(look) {
  return look === null ? make("span", { class: "log-plan-key" }) : swatch(look);
}
