/** A plan's explanation on the page: figures, cautions, drawing, sentences. */

import { make } from "../../dom.js";
import { showDuration, showTemp } from "../../units.js";
import { words } from "../../words.js";
import { drawingOf } from "./drawing.js";
import { cautionsSaid, lineSaid } from "./saying.js";
import { words as planWords } from "./words.js";

/** @typedef {import("./asking.js").Explained} Explained */
/** @typedef {import("../../types.js").Unit} Unit */

/** The server's heading of what is told apart from the rest. */
const CAUTIONS = "Cautions";

/**
 * How long, how hot, which cone.
 * @param {Explained} plan
 * @param {Unit} unit
 */
export function figures(plan, unit) {
  const { cone, coolest, hottest } = plan;
  const sure = cone === null ? null
    : coolest === null ? planWords.upTo(hottest ?? cone)
    : coolest === hottest ? planWords.surely
    : planWords.between(coolest, hottest ?? cone);
  return make("dl", { class: "plan-figures" },
    figure(planWords.takes, showDuration(plan.total_s)),
    figure(planWords.peak, showTemp(plan.peak_c, unit)),
    figure(planWords.expected, cone === null ? planWords.noCone : words.cones.name(cone), sure));
}

/** @param {string} name @param {string} value @param {string | null} [more] */
function figure(name, value, more = null) {
  return make("div", {}, make("dt", {}, name), make("dd", {}, make("strong", {}, value), more ? make("span", {}, more) : null));
}

/** In one line, for those who edit. @param {Explained} plan @param {Unit} unit */
export function inShort(plan, unit) {
  const cone = plan.cone === null ? planWords.noCone : words.cones.name(plan.cone);
  return `${showDuration(plan.total_s)} · ${showTemp(plan.peak_c, unit)} · ${cone}`;
}

/** @param {Explained} plan @param {Unit} unit @returns {HTMLElement | null} */
export function cautions(plan, unit) {
  if (!plan.cautions.length) return null;
  return make("section", { class: "panel plan-cautions", "aria-labelledby": "plan-cautions-heading" },
    make("h2", { id: "plan-cautions-heading" }, planWords.cautions),
    make("ul", {}, ...cautionsSaid(plan, unit).map(({ text, lang }) => make("li", foreign(lang), text))));
}

/** @param {Explained} plan */
export function drawing(plan) {
  const box = make("div", { class: "drawing" });
  box.append(drawingOf(plan.picture.wide, "wide"), drawingOf(plan.picture.narrow, "narrow"));
  return box;
}

/** Sentences under their headings; those with times stand in a column. @param {Explained} plan @param {Unit} unit */
export function sections(plan, unit) {
  return plan.sections.filter(({ heading }) => heading !== CAUTIONS).map(({ heading, lines, parts }) =>
    make("section", { class: "plan-section" },
      make("h3", {}, planWords.sections[heading] ?? heading),
      make("ul", {}, ...lines.map((line, at) => {
        const { time, text, lang } = lineSaid(parts[at], line, unit);
        return time === null ? make("li", foreign(lang), text)
          : make("li", { class: "plan-timed", ...foreign(lang) }, make("span", { class: "plan-time" }, time), make("span", {}, text));
      }))));
}

/** @param {string | null} lang @returns {Record<string, string>} */
function foreign(lang) {
  return lang ? { lang } : {};
}
