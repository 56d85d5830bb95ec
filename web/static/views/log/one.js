/**
 * One firing of the record: its chart, what it came to, what was said and written of it, and what can
 * be taken along. What a person adds shows at once.
 */

import { make, sayWhy } from "../../dom.js";
import { addressOf } from "../../places.js";
import { clockShown } from "../../settings.js";
import { showDuration } from "../../units.js";
import { words } from "../../words.js";
import { addressOfFiring, askFiring } from "./asking.js";
import { chartPanel } from "./chart.js";
import { conesPart, figuresPart, stepsPart, warePart } from "./facts.js";
import { dayAndTime } from "./figures.js";
import { eventsPart, warningsPart } from "./happened.js";
import { back } from "./ways.js";
import { words as logWords } from "./words.js";
import { lookForm, noteForm, unloadedPart, writtenPart } from "./written.js";

/** @typedef {import("./asking.js").Firing} Firing */
/** @typedef {import("../../types.js").Unit} Unit */

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 */
export async function show(root, { live, place, signal }) {
  const id = place.name ?? "";
  const status = make("p", { class: "panel", role: "status" }, logWords.looking);
  root.append(back(), status);
  /** @type {Firing} */
  let firing;
  try {
    firing = await askFiring(id);
  } catch (error) {
    sayWhy(status, error, logWords.failed);
    return;
  }
  /** What defects are called where they are ticked, fetched where some are. */
  const ticking = firing.found.length ? await import("../unload/words.js").then(({ words }) => words, () => null) : null;
  if (signal.aborted) return;
  status.remove();

  const head = make("div", {});
  const chart = chartPanel(firing, live, signal);
  // What changes with scale, clock and what is added; the forms stay where they are.
  const drawn = {
    figures: panel("figures", logWords.figures.heading),
    warnings: panel("warnings", logWords.happened.heading),
    steps: panel("steps", logWords.steps.heading),
    cones: panel("cones", logWords.cones.heading),
    ware: panel("ware", logWords.ware.heading),
    notes: panel("notes", logWords.written.notes),
    unloaded: panel("unloaded", logWords.unloaded.heading),
    events: panel("events", logWords.happened.everything),
  };
  const take = panel("take", logWords.take.heading);
  drawn.cones.section.append(lookForm(firing, added));
  drawn.notes.section.append(noteForm(firing, added));
  root.append(head,
    make("div", { class: "log-half" }, drawn.figures.section, chart.section, drawn.warnings.section,
      drawn.notes.section, drawn.unloaded.section),
    make("div", { class: "log-half" }, drawn.steps.section, drawn.cones.section, drawn.ware.section),
    take.section, drawn.events.section);
  chart.begin();

  let looks = "";
  live.listen({
    onSnapshot() {
      if (looks !== `${live.unit()} ${clockShown()}`) draw();
    },
  }, signal);
  draw();

  function draw() {
    const unit = live.unit();
    looks = `${unit} ${clockShown()}`;
    head.replaceChildren(headOf(firing));
    drawn.figures.fill(figuresPart(firing, unit));
    drawn.warnings.fill(warningsPart(firing, unit));
    drawn.steps.fill(stepsPart(firing, unit));
    drawn.cones.fill(conesPart(firing, unit));
    drawn.ware.fill(warePart(firing, unit));
    drawn.notes.fill(writtenPart(firing, added));
    drawn.unloaded.fill(unloadedPart(firing, ticking));
    drawn.events.fill(eventsPart(firing));
    take.fill(takePart(firing, unit));
  }

  /** Something was written: it is shown as the record has it. */
  async function added() {
    try {
      const now = await askFiring(id);
      if (signal.aborted) return;
      firing = now;
      draw();
    } catch {
      // It is kept, and will be seen when the firing is opened again.
    }
  }
}

/**
 * A panel with a heading of its own and a place that is filled anew.
 * @param {string} name
 * @param {string} heading
 */
function panel(name, heading) {
  const inner = make("div", {});
  const section = make("section", { class: `panel log-part-${name}`, "aria-labelledby": `log-${name}-heading` },
    make("h2", { id: `log-${name}-heading` }, heading), inner);
  /** @param {Node[]} nodes none: the panel has nothing to show */
  const fill = (nodes) => {
    inner.replaceChildren(...nodes);
    section.hidden = nodes.length === 0;
  };
  return { section, fill };
}

/** @param {Firing} firing */
function headOf(firing) {
  const facts = [
    dayAndTime(firing.started_at) ?? logWords.undated,
    firing.length_s === null ? null : showDuration(firing.length_s),
    firing.kiln,
    firing.mode === "live" ? null : logWords.mode[firing.mode],
    firing.is_open ? logWords.goesOn : null,
  ].filter((one) => one !== null).join(" · ");
  return make("header", { class: "log-head" },
    make("h2", {}, words.called(firing.name) || firing.id),
    make("p", {}, facts),
    make("p", { class: "log-id" }, logWords.id(firing.id)));
}

/** @param {Firing} firing @param {Unit} unit @returns {Node[]} */
function takePart(firing, unit) {
  const base = addressOfFiring(firing.id);
  /** @param {string} href @param {string} text */
  const go = (href, text) => make("li", {}, make("a", { href, class: "small" }, text));
  /** @param {string} href @param {string} text */
  const open = (href, text) => make("li", {}, make("a", { href, class: "small", target: "_blank", rel: "noopener" }, text));
  /** @param {string} href @param {string} text */
  const save = (href, text) => make("li", {}, make("a", { href, class: "small", download: true }, text));
  return [
    make("ul", { class: "log-take" },
      go(addressOf("replay", firing.id), logWords.take.again),
      firing.schedule_toml === null ? null : go(addressOf("log", null, { compare: firing.id, plan: "" }), logWords.take.plan),
      go(addressOf("unload", firing.id), logWords.take.unload)),
    make("h3", {}, logWords.take.report),
    make("ul", { class: "log-take" },
      open(`${base}/report.html?sheet=binder&units=${unit}`, logWords.take.binder),
      open(`${base}/report.html?sheet=wall&units=${unit}`, logWords.take.wall),
      save(`${base}/report.pdf?sheet=binder&units=${unit}`, logWords.take.binderPdf),
      save(`${base}/report.pdf?sheet=wall&units=${unit}`, logWords.take.wallPdf)),
    make("h3", {}, logWords.take.data),
    make("ul", { class: "log-take" },
      save(`${base}/log.csv?units=${unit}`, logWords.take.csv(`°${unit}`)),
      save(`${base}/firing.json`, logWords.take.json)),
  ];
}
