/**
 * Where the watch view's first panels stand: what is to be seen. Holds markup and fixed texts; the
 * panels fill it. A replay has some of the same.
 */

import { make } from "../../dom.js";
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
    make("p", { id: "chart-readout", class: "readout" }),
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
  ];
}
