/**
 * The cone pack: three cones that bend over as the calculated heat-work grows, and when each should
 * be down.
 */

import { coneDrawing } from "../../cones.js";
import { byId, make, say, whenChanged } from "../../dom.js";
import { clock, showDuration, showElapsed, showSigned, showTemp } from "../../units.js";
import { words } from "../../words.js";

/** @typedef {import("../../types.js").Cone} Cone */
/** @typedef {import("../../types.js").Snapshot} Snapshot */
/** @typedef {import("../../types.js").Unit} Unit */

/** Two forecasts that differ by less than this are one for the eye, seconds. */
const WORTH_TELLING_S = 300;
/** And these are the same, seconds. */
const SAME_S = 90;
/** From here on a time of day alone may be taken for one that has passed, or for another day's. */
const FAR_OFF_S = 43200;
const DAY_S = 86400;

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
  const at = (inS) => (inS < DAY_S ? clock(label, inS) : null);
  return {
    /** @param {number} inS */
    at: (inS) => {
      const found = clock(label, inS);
      return found ? words.cones.expectedAt(found, showDuration(inS)) : words.cones.expected(showDuration(inS));
    },
    /** @param {number} fromS @param {number} toS */
    between: (fromS, toS) => words.cones.likely(at(fromS) ?? showDuration(fromS), at(toS) ?? showDuration(toS)),
    /** @param {number} fromS */
    from: (fromS) => words.cones.likelyFrom(at(fromS) ?? showDuration(fromS)),
    /** @param {number | null} inS @returns {string} */
    other(inS) {
      if (inS === null) return words.cones.never;
      return (inS < FAR_OFF_S ? at(inS) : null) ?? this.at(inS);
    },
  };
}

/**
 * What would come of it if the kiln went on otherwise than expected.
 * @param {Snapshot} snapshot
 */
function otherwise(snapshot) {
  const times = timesFrom(snapshot);
  return snapshot.cones.filter((cone) => cone.is_forecast).flatMap((cone) => {
    const name = words.cones.name(cone.cone);
    /** @type {[(name: string, when: string) => string, number | null][]} */
    const ways = [[words.cones.ifPlan, cone.if_plan_in_s]];
    if (snapshot.plan?.activity === "climbing") ways.push([words.cones.ifRate, cone.at_rate_in_s]);
    return ways.filter(([, inS]) => differs(inS, cone.expected_in_s)).map(([say, inS]) => say(name, times.other(inS)));
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

/** @returns {(snapshot: Snapshot, unit: Unit) => void} */
export function conePack() {
  const section = byId("cones");
  const pack = byId("cone-pack");
  const note = byId("cones-note");
  const others = byId("cone-otherwise");
  const otherList = byId("cone-otherwise-list");
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
    others.hidden = lines.length === 0;
    otherList.replaceChildren(...lines.map((line) => make("li", {}, line)));
  });
  return (snapshot, unit) => {
    section.hidden = snapshot.cones.length === 0;
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
    say(note, trust(snapshot, unit));
  };
}
