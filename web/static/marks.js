/**
 * What is drawn into a chart besides its lines: what the ware goes through, shaded and named, and
 * what happened, as marks at the foot. Knows places on a canvas, nothing of how they are found.
 */

import { phaseName } from "./saying.js";

/** @typedef {import("./types.js").Phase} Phase */
/** @typedef {import("./types.js").ChartEvent} ChartEvent */

const MARK = 5;
const FOOT = 9;
const LETTERS = 11;
const NEAR_PX = 9;
/** What is worth a mark: troubles, and news that concern a person; steps and phases show by themselves. */
const UNMARKED = ["step_begun", "phase_begun"];

/** @param {ChartEvent[]} events @returns {ChartEvent[]} */
export function worthAMark(events) {
  return events.filter((event) => event.state === "raised" && !UNMARKED.includes(event.kind));
}

/**
 * Shades behind the lines; every other phase darker, so that neighbours part.
 * @param {any} plot
 * @param {Phase[]} phases
 * @param {{shade: string, ink: string}} colours
 */
export function drawPhases(plot, phases, { shade, ink }) {
  const { ctx, bbox } = plot;
  const px = devicePixelRatio;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  ctx.font = `${LETTERS * px}px system-ui, sans-serif`;
  let free = -Infinity;
  phases.forEach((phase, index) => {
    const from = plot.valToPos(phase.from_s, "x", true);
    const to = plot.valToPos(phase.to_s, "x", true);
    if (to < bbox.left || from > bbox.left + bbox.width) return;
    ctx.fillStyle = shade;
    ctx.globalAlpha = index % 2 ? 0.5 : 0.9;
    ctx.fillRect(from, bbox.top, to - from, bbox.height);
    // The name stands upright at the beginning, where there is room for a line of letters.
    const x = Math.max(from, bbox.left) + LETTERS * px;
    if (x < free || to - from < (LETTERS + 3) * px) return;
    free = x + (LETTERS + 2) * px;
    ctx.globalAlpha = 1;
    ctx.fillStyle = ink;
    ctx.save();
    // Above the lines, or at the foot where the lines are high; there clear of the events' marks.
    const isHigh = highAt(plot, Math.max(phase.from_s, plot.scales.x.min));
    ctx.translate(x, isHigh ? bbox.top + bbox.height - 3 * FOOT * px : bbox.top + 4 * px);
    ctx.rotate(Math.PI / 2);
    ctx.textAlign = isHigh ? "right" : "left";
    ctx.textBaseline = "bottom";
    ctx.fillText(phaseName(phase.name), 0, LETTERS * px * 0.75);
    ctx.restore();
  });
  ctx.restore();
}

/**
 * Whether a line runs through the upper half of the chart there.
 * @param {any} plot
 * @param {number} atS
 */
function highAt({ data, scales }, atS) {
  const [times, ...lines] = data;
  const row = times.findIndex((/** @type {number} */ time) => time >= atS);
  const half = (scales.y.min + scales.y.max) / 2;
  return lines.some((/** @type {(number | null)[]} */ line) => (line[row] ?? -Infinity) > half);
}

/**
 * Marks at the foot of the chart: a ring for news, a triangle for a warning, a filled square for
 * what is critical.
 * @param {any} plot
 * @param {ChartEvent[]} events
 * @param {{ink: string, ground: string}} colours
 */
export function drawEvents(plot, events, { ink, ground }) {
  const { ctx, bbox } = plot;
  const px = devicePixelRatio;
  const y = bbox.top + bbox.height - FOOT * px;
  const size = MARK * px;
  ctx.save();
  ctx.strokeStyle = ink;
  ctx.lineWidth = 1.5 * px;
  ctx.setLineDash([]);
  for (const event of events) {
    const x = plot.valToPos(event.elapsed_s, "x", true);
    if (x < bbox.left || x > bbox.left + bbox.width) continue;
    ctx.beginPath();
    if (event.severity === "info") ctx.arc(x, y, size * 0.8, 0, 2 * Math.PI);
    else if (event.severity === "warning") {
      ctx.moveTo(x, y - size);
      ctx.lineTo(x + size, y + size * 0.8);
      ctx.lineTo(x - size, y + size * 0.8);
      ctx.closePath();
    } else ctx.rect(x - size, y - size, size * 2, size * 2);
    ctx.fillStyle = event.severity === "critical" ? ink : ground;
    ctx.fill();
    ctx.stroke();
  }
  ctx.restore();
}

/**
 * The events whose marks lie under the finger.
 * @param {any} plot
 * @param {ChartEvent[]} events
 * @param {number} atS
 */
export function eventsNear(plot, events, atS) {
  const x = plot.valToPos(atS, "x");
  return events.filter((event) => Math.abs(plot.valToPos(event.elapsed_s, "x") - x) <= NEAR_PX);
}

/** @param {Phase[]} phases @param {number} atS */
export function phasesAt(phases, atS) {
  return phases.filter((phase) => phase.from_s <= atS && atS < phase.to_s);
}
