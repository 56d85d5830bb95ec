/**
 * The cone pack, drawn: three cones on a bar of clay that bend over as the calculated heat-work
 * grows, and when each should be down. How far a cone has bent is the server's figure; this knows
 * only the shape of a cone that has.
 */

import { byId, make, makeSvg, say, whenChanged } from "./dom.js";
import { clock, showDuration, showElapsed, showSigned, showTemp } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").Cone} Cone */
/** @typedef {import("./types.js").Snapshot} Snapshot */
/** @typedef {import("./types.js").Unit} Unit */

const LENGTH = 78;
const FOOT_WIDTH = 20;
const TIP_WIDTH = 5;
/** As in supervisor/core/heatwork/tip.py. */
export const STANDING_DEG = 8;
const LEVEL_DEG = 90;
const STEPS = 24;
const BOX = { x: -26, y: -86, width: 112, height: 108 };
const CLAY_HEIGHT = 18;
const CLAY_ABOVE_FOOT = 3;
/** Two forecasts that differ by less than this are one for the eye, seconds. */
const WORTH_TELLING_S = 300;
/** And these are the same, seconds. */
const SAME_S = 90;

/**
 * Outline of a cone whose foot's middle is at (0, 0), y downwards: straight while it stands, then
 * an arc whose chord from foot to tip is at the angle given, and whose tip turns twice as far.
 * @param {number} angleDeg of the chord against the vertical
 * @returns {string} SVG path
 */
export function conePath(angleDeg) {
  const degree = Math.PI / 180;
  const bent = Math.min(Math.max((angleDeg - STANDING_DEG) / (LEVEL_DEG - STANDING_DEG), 0), 1);
  const foot = STANDING_DEG * (1 - bent) * degree;
  const tip = 2 * angleDeg * degree - foot;
  let x = 0;
  let y = 0;
  /** @type {string[]} */
  const left = [];
  /** @type {string[]} */
  const right = [];
  for (let step = 0; step <= STEPS; step += 1) {
    const along = step / STEPS;
    const angle = foot + (tip - foot) * along;
    const half = (FOOT_WIDTH + (TIP_WIDTH - FOOT_WIDTH) * along) / 2;
    const acrossX = Math.cos(angle) * half;
    const acrossY = Math.sin(angle) * half;
    left.push(`${(x - acrossX).toFixed(1)} ${(y - acrossY).toFixed(1)}`);
    right.push(`${(x + acrossX).toFixed(1)} ${(y + acrossY).toFixed(1)}`);
    const between = angle + (tip - foot) / STEPS / 2;
    x += Math.sin(between) * (LENGTH / STEPS);
    y -= Math.cos(between) * (LENGTH / STEPS);
  }
  return `M${left.join("L")}L${right.reverse().join("L")}Z`;
}

/**
 * A cone on its clay, for the eye only.
 * @param {number} angleDeg as in `conePath`
 */
export function coneDrawing(angleDeg) {
  return makeSvg("svg", { viewBox: `${BOX.x} ${BOX.y} ${BOX.width} ${BOX.height}`, "aria-hidden": "true" },
    makeSvg("path", { class: "cone-body", d: conePath(angleDeg) }),
    makeSvg("rect", { class: "cone-clay", x: String(BOX.x - 1), y: String(-CLAY_ABOVE_FOOT), width: String(BOX.width + 2), height: String(CLAY_HEIGHT) }));
}

/**
 * @param {Cone} cone
 * @param {Snapshot} snapshot
 * @param {Unit} unit
 * @returns {string[]} one line each
 */
function when(cone, snapshot, unit) {
  const { plan } = snapshot;
  if (cone.down_at_s !== null) {
    const at = clock(snapshot.time, cone.down_at_s - snapshot.elapsed_s);
    return [words.cones.downAt(at ?? showElapsed(cone.down_at_s))];
  }
  if (cone.work >= 1) return [];
  const after = timesFrom(snapshot);
  const { expected_in_s: expectedS, earliest_in_s: earliestS, latest_in_s: latestS } = cone;
  if (expectedS === null) {
    if (plan?.activity === "finished") return [words.cones.notExpected];
    if (!cone.is_forecast) return [words.cones.unknown];
    const perhaps = earliestS === null ? [words.cones.notIfPlan] : [words.cones.hardlyIfPlan, after.from(earliestS)];
    return [...perhaps, ...ifHeld(cone, snapshot, unit)];
  }
  const held = ifHeld(cone, snapshot, unit);
  // At a hold the two are one and the same, said once.
  const isHeld = held.length > 0 && !differs(cone.hold_in_s, expectedS, SAME_S);
  const at = clock(snapshot.time, expectedS);
  const lines = [isHeld && at ? words.cones.expectedHeld(at, held[0]) : after.at(expectedS)];
  if (earliestS !== null && latestS !== null) lines.push(after.between(earliestS, latestS));
  else if (earliestS !== null) lines.push(after.from(earliestS));
  return isHeld && at ? lines : [...lines, ...held];
}

/**
 * @param {Cone} cone
 * @param {Snapshot} snapshot
 * @param {Unit} unit
 */
function ifHeld({ hold_in_s: holdS }, { plan, channels }, unit) {
  const temp = channels.find((channel) => channel.leads)?.temp_c ?? null;
  if (holdS === null || temp === null || plan?.activity !== "holding") return [];
  return [words.cones.ifHeld(showDuration(holdS), showTemp(temp, unit))];
}

/** Ways to say times from now on: by the kiln's clock where it has one. @param {Snapshot} snapshot */
function timesFrom({ time: label }) {
  /** @param {number} inS */
  const at = (inS) => clock(label, inS);
  return {
    /** @param {number} inS */
    at: (inS) => {
      const found = at(inS);
      return found ? words.cones.expectedAt(found, showDuration(inS)) : words.cones.expected(showDuration(inS));
    },
    /** @param {number} fromS @param {number} toS */
    between: (fromS, toS) => words.cones.likely(at(fromS) ?? showDuration(fromS), at(toS) ?? showDuration(toS)),
    /** @param {number} fromS */
    from: (fromS) => words.cones.likelyFrom(at(fromS) ?? showDuration(fromS)),
    /** @param {number | null} inS */
    other: (inS) => (inS === null ? words.cones.never : at(inS) ?? words.cones.expected(showDuration(inS))),
  };
}

/**
 * What would come of it if the kiln went on otherwise than expected.
 * @param {Snapshot} snapshot
 */
function otherwise(snapshot) {
  const { other } = timesFrom(snapshot);
  return snapshot.cones.filter((cone) => cone.is_forecast).flatMap((cone) => {
    const name = words.cones.name(cone.cone);
    /** @type {[(name: string, when: string) => string, number | null][]} */
    const ways = [[words.cones.ifPlan, cone.if_plan_in_s]];
    if (snapshot.plan?.activity === "climbing") ways.push([words.cones.ifRate, cone.at_rate_in_s]);
    return ways.filter(([, inS]) => differs(inS, cone.expected_in_s)).map(([say, inS]) => say(name, other(inS)));
  });
}

/** @param {number | null} one @param {number | null} other seconds; null: never @param {number} byS */
function differs(one, other, byS = WORTH_TELLING_S) {
  if (one === null || other === null) return one !== other;
  return Math.abs(one - other) > byS;
}

/**
 * @param {Snapshot} snapshot
 * @param {Unit} unit
 */
function trust({ correction }, unit) {
  return correction ? words.cones.corrected(showSigned(correction.offset_c, unit)) : words.cones.uncorrected;
}

/**
 * @param {HTMLElement} pack where the cones stand
 * @returns {(snapshot: Snapshot, unit: Unit) => void}
 */
export function conePack(pack) {
  const draw = whenChanged(
    /** @param {{name: string, role: string, angle: number, work: string, tip: string, when: string[], target: boolean}[]} cones */
    (cones) => {
      pack.replaceChildren(
        ...cones.map((cone) =>
          make("li", { class: cone.target ? "cone cone-target" : "cone" },
            coneDrawing(cone.angle),
            make("p", { class: "cone-name" },
              make("span", { class: "cone-number" }, cone.name), " ", make("span", { class: "cone-role" }, cone.role)),
            make("p", { class: "cone-work" }, cone.work, cone.tip ? make("span", { class: "cone-tip" }, cone.tip) : null),
            ...cone.when.map((line, index) => make("p", { class: index ? "cone-when" : "cone-when cone-at" }, line)),
          )));
    });
  const drawOtherwise = whenChanged(/** @param {string[]} lines */ (lines) => {
    byId("cone-otherwise").hidden = lines.length === 0;
    byId("cone-otherwise-list").replaceChildren(...lines.map((line) => make("li", {}, line)));
  });
  return (snapshot, unit) => {
    draw(snapshot.cones.map((cone) => ({
      name: words.cones.name(cone.cone),
      role: words.cones.role[cone.role],
      angle: Math.round(cone.tip_angle_deg),
      work: cone.work >= 1 ? words.cones.down : words.cones.work(Math.floor(cone.work * 100)),
      tip: cone.work >= 1 ? "" : words.cones.tip(words.witness.tip(cone.clock)),
      when: when(cone, snapshot, unit),
      target: cone.role === "target",
    })));
    drawOtherwise(otherwise(snapshot));
    say(byId("cones-note"), trust(snapshot, unit));
  };
}
