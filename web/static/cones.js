/**
 * The cone pack, drawn: three cones on a bar of clay that lean and bend over as the calculated
 * heat-work grows. Knows a cone's shape, not its chemistry. At work 0 it stands leaning as it
 * was set; at 1 its tip touches the level of its foot.
 */

import { make, makeSvg, whenChanged } from "./dom.js";
import { clock, showDuration, showElapsed } from "./units.js";
import { words } from "./words.js";

const LENGTH = 78;
const FOOT_WIDTH = 20;
const TIP_WIDTH = 5;
const SET_LEAN = 0.14;
const BEND_EXPONENT = 0.7;
const BEND_TO_LEVEL = 2.488; // solved so that at work 1 the tip is level with the foot
const STEPS = 24;
const BOX = { x: -26, y: -86, width: 112, height: 108 };
const CLAY_HEIGHT = 18;
const CLAY_ABOVE_FOOT = 3;

/**
 * Outline of a cone whose foot's middle is at (0, 0), y downwards.
 * @param {number} work share of the heat-work that brings it down
 * @returns {string} SVG path
 */
export function conePath(work) {
  const bend = BEND_TO_LEVEL * Math.min(Math.max(work, 0), 1);
  let x = 0;
  let y = 0;
  /** @type {string[]} */
  const left = [];
  /** @type {string[]} */
  const right = [];
  for (let step = 0; step <= STEPS; step += 1) {
    const along = step / STEPS;
    const angle = SET_LEAN + bend * along ** BEND_EXPONENT;
    const half = (FOOT_WIDTH + (TIP_WIDTH - FOOT_WIDTH) * along) / 2;
    const acrossX = Math.cos(angle) * half;
    const acrossY = Math.sin(angle) * half;
    left.push(`${(x - acrossX).toFixed(1)} ${(y - acrossY).toFixed(1)}`);
    right.push(`${(x + acrossX).toFixed(1)} ${(y + acrossY).toFixed(1)}`);
    x += Math.sin(angle) * (LENGTH / STEPS);
    y -= Math.cos(angle) * (LENGTH / STEPS);
  }
  return `M${left.join("L")}L${right.reverse().join("L")}Z`;
}

/**
 * @param {import("./types.js").Cone} cone
 * @param {import("./types.js").Snapshot} snapshot
 */
function when(cone, { time: label, elapsed_s: elapsedS, plan }) {
  if (cone.down_at_s !== null) {
    return words.cones.downAt(clock(label, cone.down_at_s - elapsedS) ?? showElapsed(cone.down_at_s));
  }
  if (cone.work >= 1) return words.cones.down;
  if (cone.expected_in_s === null) {
    return plan?.activity === "finished" ? words.cones.notExpected : words.cones.unknown;
  }
  const long = showDuration(cone.expected_in_s);
  const at = clock(label, cone.expected_in_s);
  return at ? words.cones.expectedAt(at, long) : words.cones.expected(long);
}

/**
 * @param {HTMLElement} pack where the cones stand
 * @returns {(snapshot: import("./types.js").Snapshot) => void}
 */
export function conePack(pack) {
  const draw = whenChanged(
    /** @param {{name: string, role: string, bend: number, work: string, when: string, target: boolean}[]} cones */
    (cones) => {
      pack.replaceChildren(
        ...cones.map((cone) =>
          make("li", { class: cone.target ? "cone cone-target" : "cone" },
            makeSvg("svg", { viewBox: `${BOX.x} ${BOX.y} ${BOX.width} ${BOX.height}`, "aria-hidden": "true" },
              makeSvg("path", { class: "cone-body", d: conePath(cone.bend) }),
              makeSvg("rect", { class: "cone-clay", x: String(BOX.x - 1), y: String(-CLAY_ABOVE_FOOT), width: String(BOX.width + 2), height: String(CLAY_HEIGHT) })),
            make("p", { class: "cone-name" },
              make("span", { class: "cone-number" }, cone.name), " ", make("span", { class: "cone-role" }, cone.role)),
            make("p", { class: "cone-work" }, cone.work),
            make("p", { class: "cone-when" }, cone.when),
          )));
    });
  return (snapshot) =>
    draw(snapshot.cones.map((cone) => ({
      name: words.cones.name(cone.cone),
      role: words.cones.role[cone.role],
      bend: Math.round(cone.work * 100) / 100,
      work: cone.work >= 1 ? words.cones.down : words.cones.work(Math.floor(cone.work * 100)),
      when: when(cone, snapshot),
      target: cone.role === "target",
    })));
}
