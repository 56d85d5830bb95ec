/**
 * Where the watch view's panels stand. Holds markup and fixed texts; the panels fill it. A replay
 * has some of the same.
 */

import { hint } from "../../chart.js";
import { make } from "../../dom.js";
import { addressOf } from "../../places.js";
import { words } from "../../words.js";

/** How hot? */
export function tempsSection() {
  return make("section", { id: "temps", class: "panel", "aria-labelledby": "temps-heading" },
    make("h2", { id: "temps-heading" }, words.temps.heading),
    make("p", { class: "lead" },
      make("span", { id: "lead-temp", class: "lead-temp" }),
      make("span", { class: "lead-side" },
        make("span", { id: "lead-name", class: "lead-name" }),
        make("span", { id: "lead-rate" }))),
    make("ul", { id: "channels", class: "channels" }),
    make("p", { id: "spread-row", class: "spread", hidden: true },
      make("span", {}, words.temps.spread),
      " ",
      make("strong", { id: "spread" })));
}

/** The firing so far. */
export function chartSection() {
  return make("section", { id: "chart", class: "panel", "aria-labelledby": "chart-heading" },
    make("div", { class: "panel-head" },
      make("h2", { id: "chart-heading" }, words.chart.heading),
      make("button", { id: "chart-whole", type: "button", class: "small", disabled: true }, words.chart.whole)),
    make("div", { id: "chart-box", class: "chart-box", role: "img" }),
    make("p", { id: "chart-readout", class: "readout" }, hint()),
    make("p", { class: "small-print" }, words.chart.legend));
}

/** The plan. */
export function planSection() {
  return make("section", { id: "plan", class: "panel", "aria-labelledby": "plan-heading" },
    make("h2", { id: "plan-heading" }, words.plan.heading),
    make("p", { class: "plan-now" },
      make("strong", { id: "plan-where" }),
      " ",
      make("span", { id: "plan-doing" })),
    make("div", { id: "plan-steps", class: "plan-steps", "aria-hidden": "true" }),
    make("p", { class: "plan-times" },
      make("strong", { id: "plan-late" }),
      " ",
      make("span", { id: "plan-end" })));
}

/** The cones. */
export function conesSection() {
  return make("section", { id: "cones", class: "panel", "aria-labelledby": "cones-heading" },
    make("h2", { id: "cones-heading" }, words.cones.heading),
    make("ul", { id: "cone-pack", class: "cone-pack" }),
    make("p", { id: "cones-note", class: "small-print" }),
    make("details", { id: "cone-otherwise", class: "more", hidden: true },
      make("summary", {}, words.cones.otherwise),
      make("ul", { id: "cone-otherwise-list" })));
}

/** @returns {HTMLElement[]} */
export function layout() {
  return [
    make("section", { id: "verdict", class: "verdict" },
      make("div", { id: "verdict-sign", class: "verdict-sign" }),
      make("h2", { id: "verdict-title" }),
      make("p", { id: "verdict-sentence" }),
      make("p", { id: "verdict-last", class: "last-known", hidden: true }),
      make("p", { id: "blind", class: "last-known", hidden: true })),
    make("section", { id: "alerts", class: "alerts", "aria-labelledby": "alerts-heading", hidden: true },
      make("h2", { id: "alerts-heading", class: "heard-only" }, words.alerts.heading),
      make("ul", { id: "alert-list", "aria-live": "polite" })),
    make("details", { id: "earlier", class: "more earlier", hidden: true },
      make("summary", {}, words.alerts.earlier),
      make("ul", { id: "earlier-list" })),
    tempsSection(),
    chartSection(),
    planSection(),
    conesSection(),
    make("section", { id: "witness", class: "panel", "aria-labelledby": "witness-heading", hidden: true },
      make("h2", { id: "witness-heading" }, words.witness.heading),
      make("ul", { id: "offset-list", class: "offset-list" }),
      make("p", { id: "offset-problem", class: "problem", role: "status" }),
      make("p", { id: "offset-explained", class: "small-print", hidden: true }, words.witness.explained),
      make("details", { id: "look", class: "more look" },
        make("summary", {}, words.witness.question),
        make("form", { id: "look-form" },
          make("fieldset", {},
            make("legend", {}, words.witness.cone),
            make("div", { class: "choices" },
              make("div", { id: "look-cones", class: "choices" }),
              make("label", { for: "look-cone-other", class: "heard-only" }, words.witness.otherCone),
              make("select", { id: "look-cone-other" }))),
          make("fieldset", {},
            make("legend", { id: "look-tip-ask" }, words.witness.tipAsk),
            make("div", { id: "look-tips", class: "choices tips" })),
          make("fieldset", { id: "look-channel-set", hidden: true },
            make("legend", {}, words.witness.channel),
            make("div", { id: "look-channels", class: "choices" })),
          make("div", { class: "look-where" },
            make("label", { for: "look-minutes" }, words.witness.minutes),
            make("input", { id: "look-minutes", type: "number", inputmode: "numeric", min: "0", max: "100000", step: "1", value: "0", required: true }),
            make("label", { for: "look-shelf" }, words.witness.shelf),
            make("input", { id: "look-shelf", type: "text", maxlength: "200" })),
          make("div", { class: "note-row" },
            make("button", { id: "look-save", type: "submit", class: "small" }, words.witness.save),
            make("span", { id: "look-answer", role: "status" })))),
      make("ul", { id: "look-list", class: "look-list" }),
      make("p", { id: "look-problem", class: "problem", role: "status" })),
    make("details", { id: "ware", class: "more ware", hidden: true },
      make("summary", {}, words.ware),
      make("div", { id: "ware-place" })),
    make("section", { id: "notes", class: "panel", "aria-labelledby": "notes-heading" },
      make("h2", { id: "notes-heading" }, words.notes.heading),
      make("p", { id: "note-quick-label" }, words.notes.quickly),
      make("div", { id: "note-quick", class: "note-quick", role: "group", "aria-labelledby": "note-quick-label" }),
      make("p", { id: "note-quick-answer", class: "note-answer", role: "status" }),
      make("form", { id: "note-form" },
        make("label", { for: "note-text" }, words.notes.label),
        make("textarea", { id: "note-text", rows: "2", maxlength: "2000" }),
        make("div", { class: "note-row" },
          make("button", { id: "note-save", type: "submit", class: "small" }, words.notes.save),
          make("span", { id: "note-answer", role: "status" }),
          make("span", { id: "note-left", class: "note-left" }))),
      make("ul", { id: "note-list", class: "note-list look-list" }),
      make("p", { id: "note-problem", class: "problem", role: "status" })),
    make("section", { id: "log", class: "panel", "aria-labelledby": "log-heading", hidden: true },
      make("h2", { id: "log-heading" }, words.log.heading),
      make("p", { id: "log-state" }),
      make("p", { id: "log-answer", class: "log-answer", role: "status" }),
      make("div", { id: "log-buttons", class: "log-buttons" }),
      make("p", { class: "small-print" }, make("a", { href: addressOf("plans") }, words.log.choose))),
  ];
}
