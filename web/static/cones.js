/**
 * A pyrometric cone, drawn: upright or bent over on its bar of clay. How far a cone has bent is the
 * server's figure; this knows only the shape of a cone that has.
 */

import { makeSvg } from "./dom.js";

/** As in supervisor/core/heatwork. */
export const CONE_NAMES = ["022", "021", "020", "019", "018", "017", "016", "015", "014", "013", "012", "011", "010", "09", "08", "07", "06", "05.5", "05", "04", "03", "02", "01", "1", "2", "3", "4", "5", "5.5", "6", "7", "8", "9", "10", "11", "12", "13", "14"];

const LENGTH = 78;
const FOOT_WIDTH = 20;
const TIP_WIDTH = 5;
/** As in supervisor/core/heatwork/tip.py. */
export const STANDING_DEG = 8;
const LEVEL_DEG = 90;
/** The chord for one hour of the hand. */
const DEG_PER_HOUR = 15;
const STEPS = 24;
const BOX = { x: -26, y: -86, width: 112, height: 108 };
const CLAY_HEIGHT = 18;
const CLAY_ABOVE_FOOT = 3;

/**
 * The middle line of a cone whose foot is at (0, 0), y downwards: straight while it stands, then an
 * arc whose chord from foot to tip is at the angle given, and whose tip turns twice as far.
 * @param {number} angleDeg of the chord against the vertical
 * @returns {{x: number, y: number, angle: number, along: number}[]} from foot to tip: the place, the
 *   way it looks (radians against the vertical), and the share of its length
 */
export function spine(angleDeg) {
  const degree = Math.PI / 180;
  const bent = Math.min(Math.max((angleDeg - STANDING_DEG) / (LEVEL_DEG - STANDING_DEG), 0), 1);
  const foot = STANDING_DEG * (1 - bent) * degree;
  const tip = 2 * angleDeg * degree - foot;
  let x = 0;
  let y = 0;
  const points = [];
  for (let step = 0; step <= STEPS; step += 1) {
    const along = step / STEPS;
    const angle = foot + (tip - foot) * along;
    points.push({ x, y, angle, along });
    const between = angle + (tip - foot) / STEPS / 2;
    x += Math.sin(between) * (LENGTH / STEPS);
    y -= Math.cos(between) * (LENGTH / STEPS);
  }
  return points;
}

/**
 * Its outline.
 * @param {number} angleDeg as in `spine`
 * @returns {string} SVG path
 */
export function conePath(angleDeg) {
  /** @type {string[]} */
  const left = [];
  /** @type {string[]} */
  const right = [];
  for (const { x, y, angle, along } of spine(angleDeg)) {
    const half = (FOOT_WIDTH + (TIP_WIDTH - FOOT_WIDTH) * along) / 2;
    const acrossX = Math.cos(angle) * half;
    const acrossY = Math.sin(angle) * half;
    left.push(`${(x - acrossX).toFixed(1)} ${(y - acrossY).toFixed(1)}`);
    right.push(`${(x + acrossX).toFixed(1)} ${(y + acrossY).toFixed(1)}`);
  }
  return `M${left.join("L")}L${right.reverse().join("L")}Z`;
}

/**
 * A cone on its clay, for the eye only.
 * @param {number} angleDeg as in `spine`
 */
export function coneDrawing(angleDeg) {
  return makeSvg("svg", { viewBox: `${BOX.x} ${BOX.y} ${BOX.width} ${BOX.height}`, "aria-hidden": "true" },
    makeSvg("path", { class: "cone-body", d: conePath(angleDeg) }),
    makeSvg("rect", { class: "cone-clay", x: String(BOX.x - 1), y: String(-CLAY_ABOVE_FOOT), width: String(BOX.width + 2), height: String(CLAY_HEIGHT) }));
}

/**
 * How far a cone has bent whose tip is seen so.
 * @param {string} tip as the server spells it: "upright", "3", "3:30", "just touching", "touching"
 * @returns {number} degrees, as in `spine`
 */
export function angleOf(tip) {
  if (tip === "upright") return STANDING_DEG;
  const [hour, minute = 0] = tip.split(":").map(Number);
  return Number.isNaN(hour) ? LEVEL_DEG : (hour % 12 + minute / 60) * DEG_PER_HOUR;
}
