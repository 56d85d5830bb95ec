/**
 * Up to six firings laid over each other: lines, how far each is off, and where they parted and what
 * that was worth, in words. What is compared and how stands in the address.
 */

import { make, say, sayWhy } from "../../dom.js";
import { addressOf } from "../../places.js";
import { differenceFromC, digits, fromC, showTemp } from "../../units.js";
import { words } from "../../words.js";
import { askComparison } from "./asking.js";
import { dateOf, hoursMinutes } from "./figures.js";
import { Overlay, keySwatch } from "./overlay.js";
import { calledOf, sentencesOf } from "./parting.js";
import { back } from "./ways.js";
import { words as logWords } from "./words.js";

/** @typedef {import("./asking.js").Align} Align */
/** @typedef {import("./asking.js").Comparison} Comparison */
/** @typedef {import("../../types.js").Unit} Unit */

/** @type {Align[]} */
const ALIGNS = ["time", "temperature", "peak"];
const HOUR_S = 3600;
const HOURS = [0.25, 0.5, 1, 2, 3, 4, 6, 12, 24, 48].map((hours) => hours * HOUR_S);
const DEGREES = [10, 20, 50, 100, 200, 500];
const LATER_S = [60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200, 86400];

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 */
export async function show(root, { live, place, signal }) {
  const ids = (place.query.get("compare") ?? "").split(",").filter((id) => id !== "");
  let align = ALIGNS.find((one) => one === place.query.get("by")) ?? "time";
  let withPlan = place.query.has("plan");
  const status = make("p", { class: "log-count", role: "status" }, logWords.looking);
  const lines = make("ul", { class: "log-lines log-compared" });
  const upperName = make("h3", {});
  const lowerName = make("h3", {});
  const upperBox = make("div", { class: "chart-box", role: "img" });
  const lowerBox = make("div", { class: "chart-box", role: "img" });
  const readout = make("p", { class: "readout" }, logWords.compare.closer);
  const whole = make("button", { type: "button", class: "small", disabled: true }, logWords.compare.whole);
  const pictures = make("section", { class: "panel log-overlay", "aria-labelledby": "log-overlay-heading", hidden: true },
    make("div", { class: "panel-head" }, make("h2", { id: "log-overlay-heading" }, logWords.compare.lines), whole),
    lines, upperName, upperBox, lowerName, lowerBox, readout);
  const told = make("div", { class: "log-told" });
  const choices = ALIGNS.map((one) => {
    const button = make("button", { type: "button", "aria-pressed": String(one === align) }, logWords.compare.by[one]);
    button.addEventListener("click", () => {
      align = one;
      choices.forEach((other, index) => other.setAttribute("aria-pressed", String(ALIGNS[index] === align)));
      fetchAll();
    });
    return button;
  });
  const plan = /** @type {HTMLInputElement} */ (make("input", { type: "checkbox", id: "log-with-plan" }));
  plan.checked = withPlan;
  plan.disabled = ids.length < 2;
  plan.addEventListener("change", () => {
    withPlan = plan.checked;
    fetchAll();
  });
  root.append(
    back(),
    make("section", { class: "panel", "aria-labelledby": "log-compare-heading" },
      make("h2", { id: "log-compare-heading" }, logWords.compare.heading),
      make("div", { class: "log-align", role: "group", "aria-labelledby": "log-align-label" },
        make("span", { id: "log-align-label", class: "heard-only" }, logWords.compare.align), ...choices),
      make("label", { class: "log-check", for: "log-with-plan" }, plan, make("span", {}, logWords.compare.withPlan)),
      status),
    pictures, told);

  /** @type {Comparison | null} */
  let found = null;
  let asked = 0;
  /** @type {Unit | null} */
  let unit = null;
  const showPlace = (/** @type {number | null} */ at) => say(readout, at === null || !found ? logWords.compare.closer : readAt(found, at, live.unit()));
  const showView = (/** @type {import("./overlay.js").View | null} */ view) => {
    upper.setView(view);
    lower.setView(view);
    whole.toggleAttribute("disabled", view === null);
  };
  const upper = new Overlay(upperBox, showPlace, showView);
  const lower = new Overlay(lowerBox, showPlace, showView);
  signal.addEventListener("abort", () => {
    upper.remove();
    lower.remove();
  });
  whole.addEventListener("click", () => showView(null));

  async function fetchAll() {
    const turn = ++asked;
    say(status, logWords.looking);
    try {
      const answer = await askComparison(ids, align, withPlan);
      if (turn !== asked || signal.aborted) return;
      found = answer;
      say(status, "");
      history.replaceState(null, "", addressOf("log", null, {
        compare: ids.join(","), ...(align === "time" ? {} : { by: align }), ...(withPlan ? { plan: "" } : {}),
      }));
      draw();
    } catch (error) {
      if (turn === asked) sayWhy(status, error, logWords.failed);
    }
  }

  function draw() {
    if (!found) return;
    unit = live.unit();
    const now = found;
    const reference = calledOf(now.lines[0]);
    pictures.hidden = false;
    lines.replaceChildren(...now.lines.map((line, index) => keyRow(line, lookOf(now, index), live.unit())));
    say(upperName, logWords.compare.upper[now.align]);
    say(lowerName, now.align === "temperature" ? logWords.compare.later(reference) : logWords.compare.hotter(reference));
    const { up, low } = drawnOf(now, live.unit());
    for (const [box, name] of /** @type {const} */ ([[upperBox, upperName], [lowerBox, lowerName]])) {
      box.setAttribute("aria-label", name.textContent ?? "");
    }
    upper.show(up);
    lower.show(low);
    whole.setAttribute("disabled", "");
    showPlace(null);
    told.replaceChildren(...now.against.map((one) => make("section", { class: "panel" },
      make("h2", {}, logWords.compare.against(one.letter, reference)),
      make("ul", { class: "log-said" }, ...sentencesOf(one, now, live.unit()).map((sentence) => make("li", {}, sentence))))));
  }

  await fetchAll();
  live.listen({
    onSnapshot() {
      if (unit !== null && unit !== live.unit()) draw();
    },
  }, signal);
}

/** Place in the looks of lines; null for a plan. @param {Comparison} found @param {number} index */
function lookOf(found, index) {
  if (found.lines[index].id === null) return null;
  return found.lines[0].id === null ? index - 1 : index;
}

/** @param {import("./asking.js").Line} line @param {number | null} look @param {Unit} unit */
function keyRow(line, look, unit) {
  const facts = [dateOf(line.started_at), line.peak_c === null ? null : showTemp(line.peak_c, unit),
    line.cone === null ? null : words.cones.name(line.cone), line.is_open ? logWords.goesOn : null].filter((one) => one !== null).join(" · ");
  const name = line.id === null ? logWords.compare.planOf(words.called(line.name)) : words.called(line.name) || line.id;
  return make("li", {}, keySwatch(look),
    make("strong", {}, line.id === null ? "P" : line.letter),
    make("span", {}, line.id === null ? name : make("a", { href: addressOf("log", line.id) }, name), facts ? ` · ${facts}` : null));
}

/** @param {Comparison} found @param {Unit} unit @returns {{up: import("./overlay.js").Drawn, low: import("./overlay.js").Drawn}} */
function drawnOf(found, unit) {
  const byTemp = found.align === "temperature";
  const at = byTemp ? found.at.map((temp) => fromC(temp, unit)) : found.at;
  const across = byTemp ? (/** @type {number} */ value) => `${digits(value)}°` : (/** @type {number} */ value) => hoursMinutes(value);
  const marks = found.against.flatMap((one) => one.partings.map((parting) => (byTemp ? fromC(parting.at, unit) : parting.at)));
  const steps = byTemp ? DEGREES : HOURS;
  /** @param {number | null} value */
  const shown = (value) => (value === null ? null : byTemp ? differenceFromC(value, unit) : fromC(value, unit));
  /** @param {number | null} value */
  const off = (value) => (value === null || byTemp ? value : differenceFromC(value, unit));
  /** @param {number} value */
  const degrees = (value) => `${digits(value)}°`;
  return {
    up: {
      at, across, marks, steps, up: degrees,
      lines: found.lines.map((line, index) => ({ letter: line.letter, look: lookOf(found, index), values: line.values.map(shown) })),
    },
    low: {
      at, across, marks, steps, up: byTemp ? hoursMinutes : degrees, ...(byTemp ? { upSteps: LATER_S } : {}),
      lines: found.against.map((one, index) => ({ letter: one.letter, look: lookOf(found, index + 1), values: one.by.map(off) })),
    },
  };
}

/** @param {Comparison} found @param {number} place @param {Unit} unit */
function readAt(found, place, unit) {
  const byTemp = found.align === "temperature";
  const at = byTemp ? showTemp(found.at[place], unit) : logWords.compare.hours(hoursMinutes(found.at[place]));
  const values = found.lines.flatMap((line) => {
    const value = line.values[place];
    if (value === null || value === undefined) return [];
    return [`${line.id === null ? "P" : line.letter}\u00a0${digits(byTemp ? differenceFromC(value, unit) : fromC(value, unit))}°`];
  });
  return logWords.compare.at(at, values.join(" · "));
}
