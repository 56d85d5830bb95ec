/** What a firing came to, in figures: the whole in short, its steps, its cones, what the ware went through. */

import { make, sign } from "../../dom.js";
import { sayTheirs } from "../../send.js";
import { phaseName } from "../../saying.js";
import { showDifference, showDuration, showSigned, showTemp } from "../../units.js";
import { words } from "../../words.js";
import { momentOf, showRate } from "./figures.js";
import { words as logWords } from "./words.js";

/** @typedef {import("./asking.js").Firing} Firing */
/** @typedef {import("./asking.js").Step} Step */
/** @typedef {import("../../types.js").Unit} Unit */

/** Differences below these are not worth a word: as the report has it. */
const LATE_S = 300;
/** Less is no hold. */
const HELD_S = 60;
/** A rule is broken from here on, not at the last digit. */
const TOO_FAST = 1.005;

/**
 * @param {Firing} firing
 * @param {Unit} unit
 * @returns {Node[]}
 */
export function figuresPart(firing, unit) {
  const { plan, peak, cooling, evenness, energy, gaps } = firing.facts;
  const say = logWords.figures;
  /** @type {[string, string, string | null][]} */
  const figures = [];
  if (peak) {
    figures.push([say.peak, showTemp(peak.temp_c, unit), momentOf(firing.started_at, peak.at_s)]);
    figures.push([say.held, showDuration(peak.hold_s), say.heldAt(showTemp(peak.level_c, unit))]);
  }
  if (firing.cone !== null) {
    figures.push([say.cone, words.cones.name(firing.cone),
      plan?.target_cone ? say.target(words.cones.name(plan.target_cone)) : say.calculated]);
  }
  if (plan && plan.lasted_s !== null) {
    const late = plan.lasted_s - plan.planned_s;
    figures.push([say.took, showDuration(plan.lasted_s), Math.abs(late) < LATE_S ? say.asPlanned
      : late > 0 ? say.longer(showDuration(late)) : say.shorter(showDuration(-late))]);
  } else if (plan) figures.push([say.took, say.unfinished, say.planned(showDuration(plan.planned_s))]);
  if (peak && peak.rate_c_per_h !== null) {
    figures.push([say.last(showDifference(100, unit)), showRate(peak.rate_c_per_h, unit), null]);
  }
  if (evenness && evenness.peak_apart_c !== null) {
    figures.push([say.even, showDifference(evenness.peak_apart_c, unit),
      evenness.hottest && evenness.coolest && evenness.hottest !== evenness.coolest
        ? say.hottest(evenness.hottest, evenness.coolest) : null]);
  }
  if (cooling && cooling.first_c_per_h !== null) {
    figures.push([say.cooling, showRate(cooling.first_c_per_h, unit), null]);
  }
  if (cooling) {
    figures.push(cooling.opened ? [say.opened, showTemp(cooling.opened.temp_c, unit), momentOf(firing.started_at, cooling.opened.at_s)]
      : [say.closed, showTemp(cooling.end_c, unit), null]);
  }
  if (energy) figures.push([say.energy, `${Math.round(energy.kwh)}\u202fkWh`, null]);
  if (gaps.length) {
    figures.push([say.blind, showDuration(gaps.reduce((sum, gap) => sum + gap.to_s - gap.from_s, 0)), null]);
  }
  if (!figures.length) return [make("p", {}, logWords.figures.none)];
  return [
    make("dl", { class: "log-figures" }, ...figures.map(([what, value, more]) => make("div", {},
      make("dt", {}, what), make("dd", {}, make("strong", {}, value), more === null ? null : make("span", {}, more))))),
    make("p", { class: "small-print" }, logWords.figures.decide),
  ];
}

/** @param {Firing} firing @param {Unit} unit @returns {Node[]} */
export function stepsPart(firing, unit) {
  if (!firing.steps.length) return [];
  return [make("ol", { class: "log-steps" }, ...firing.steps.map((step) => stepRow(step, unit)))];
}

/** @param {Step} step @param {Unit} unit */
function stepRow(step, unit) {
  const say = logWords.steps;
  const isUp = step.planned_to_c >= step.planned_from_c;
  const planned = [
    step.planned_rate_c_per_h === null ? say.asItGoes : showRate(step.planned_rate_c_per_h, unit),
    step.planned_hold_s ? say.hold(showDuration(step.planned_hold_s)) : null,
  ];
  const fired = step.begun_s === null ? [say.notReached] : [
    step.rate_c_per_h === null ? null : showRate(step.rate_c_per_h, unit),
    step.to_c === null ? null : say.cameTo(showTemp(step.to_c, unit)),
    step.held_s !== null && (step.held_s >= HELD_S || (step.planned_hold_s && step.is_complete)) ? say.held(showDuration(step.held_s)) : null,
    step.is_complete ? null : say.brokenOff,
    step.late_s === null || Math.abs(step.late_s) < LATE_S ? null
      : step.late_s > 0 ? say.late(showDuration(step.late_s)) : say.early(showDuration(-step.late_s)),
  ];
  /** @param {(string | null)[]} parts */
  const joined = (parts) => parts.filter((one) => one !== null).join(", ");
  const to = showTemp(step.planned_to_c, unit);
  return make("li", {},
    make("strong", {}, isUp ? say.up(String(step.number), to) : say.down(String(step.number), to)),
    make("span", { class: "log-planned" }, say.planned(joined(planned))),
    make("span", {}, say.fired(joined(fired))),
    step.note ? make("span", { class: "log-planned" }, step.note) : null);
}

/** @param {Firing} firing @param {Unit} unit @returns {Node[]} */
export function conesPart(firing, unit) {
  const say = logWords.cones;
  const { cones, looks } = firing.facts;
  const calculated = cones.map((one) => {
    const so = one.cone === null ? (one.next_cone === null ? say.none : say.shortOf(words.cones.name(one.next_cone)))
      : words.cones.name(one.cone);
    const toward = one.next_cone === null || one.toward_next < 0.01 ? null
      : say.toward(`${Math.min(99, Math.round(one.toward_next * 100))}\u202f%`, words.cones.name(one.next_cone));
    const between = one.coolest && one.hottest && one.coolest !== one.hottest
      ? say.between(words.cones.name(one.coolest), words.cones.name(one.hottest)) : null;
    const corrected = one.offset_c ? say.corrected(showSigned(one.offset_c, unit)) : null;
    return make("li", {}, make("strong", {}, `${one.channel}: ${so}`),
      ...[toward, between, corrected].map((more) => (more === null ? null : make("span", {}, more))));
  });
  // What was written since the facts were made is shown all the same, without its calculation.
  const seen = firing.witness.map((look) => {
    const fact = looks.find((one) => one.cone === look.cone && one.elapsed_s === look.elapsed_s && one.seen_clock === look.clock);
    const where = [look.channel, look.shelf].filter((part) => part !== null).join(", ");
    return make("li", {},
      make("strong", {}, words.witness.seen(words.cones.name(look.cone), words.witness.tip(look.clock))),
      make("span", {}, [momentOf(firing.started_at, look.elapsed_s), where, look.by].filter(Boolean).join(" · ")),
      fact?.clock ? make("span", {}, say.byCalculation(words.witness.tip(fact.clock))) : null,
      fact && !fact.counts ? make("span", {}, say.countsNot) : null,
      look.doubt ? sayTheirs(make("span"), look.doubt, look.why) : null);
  });
  return [
    make("h3", {}, say.calculated), make("ul", { class: "log-lines" }, ...(calculated.length ? calculated : [make("li", {}, say.none)])),
    make("h3", {}, say.seen), make("ul", { class: "log-lines" }, ...(seen.length ? seen : [make("li", { class: "note-none" }, say.noneSeen)])),
    make("p", { class: "small-print" }, logWords.figures.decide),
  ];
}

/** @param {Firing} firing @param {Unit} unit @returns {Node[]} */
export function warePart(firing, unit) {
  const say = logWords.ware;
  const { bands, above } = firing.facts;
  const crossed = bands.filter(({ passage }) => passage.entered_s !== null && passage.left_s !== null && passage.mean_c_per_h !== null);
  const rows = crossed.map(({ name, passage, allowed_c_per_h: allowed, too_fast: tooFast }) => {
    const isTooFast = tooFast !== null && tooFast > TOO_FAST;
    const entered = passage.entered_s ?? 0;
    return make("li", { class: isTooFast ? "log-too-fast" : "" },
      make("strong", {}, isTooFast ? sign("warning") : null, phaseName(name)),
      make("span", {}, [momentOf(firing.started_at, entered), showDuration((passage.left_s ?? 0) - entered),
        say.mean(showRate(passage.mean_c_per_h ?? 0, unit))].join(" · ")),
      allowed === null ? null : make("span", {}, isTooFast
        ? say.tooFast(showRate(passage.fastest_c_per_h ?? 0, unit), showRate(allowed, unit)) : say.within(showRate(allowed, unit))));
  });
  /** @type {Node[]} */
  const parts = [];
  if (rows.length) parts.push(make("ul", { class: "log-lines" }, ...rows));
  if (above.length) {
    parts.push(make("details", { class: "more" }, make("summary", {}, say.above),
      make("dl", { class: "log-above" }, ...above.map(({ temp_c: tempC, time_s: timeS }) =>
        make("div", {}, make("dt", {}, say.hotterThan(showTemp(tempC, unit))), make("dd", {}, showDuration(timeS)))))));
  }
  return parts;
}
