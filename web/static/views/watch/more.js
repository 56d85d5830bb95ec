/**
 * What the watch view fetches when the kiln has been seen: the chart, the cones, and what a person
 * adds to the record while it fires: cones looked at, the ware, notes, and the log itself.
 */

// What the panels name in their turn, named here too, so that all is asked for at once.
import "../../chart.js";
import "../../cones.js";
import "../../fingers.js";
import "../../marks.js";
import "../../plot.js";
import "../../styles.js";
import { byId, make, say } from "../../dom.js";
import { addressOf } from "../../places.js";
import { acceptOffset, addLook, addNote, beginLog, endLog, withdrawLook, withdrawNote, withdrawOffset } from "../../send.js";
import { words } from "../../words.js";
import { chartPanel } from "./chart.js";
import { logPanel } from "./log.js";
import { noteForm, notesPanel, quickNotes } from "./notes.js";
import { conePack } from "./pack.js";
import { lookForm, lookList, offsetList } from "./witness.js";

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 * @returns {((snapshot: import("../../types.js").Snapshot, unit: import("../../types.js").Unit) => void)[]}
 *   each shows its part of a snapshot
 */
export function addMore(root, context) {
  root.append(...sections());
  noteForm(addNote);
  chartPanel(context);
  return [
    conePack(), lookForm(addLook), lookList(withdrawLook), offsetList(acceptOffset, withdrawOffset),
    quickNotes(addNote), notesPanel(withdrawNote), logPanel(beginLog, endLog), ware(context),
  ];
}

/**
 * What is in the kiln: its panel is fetched when it is first opened.
 * @param {import("../../types.js").Context} context
 * @returns {(snapshot: import("../../types.js").Snapshot) => void}
 */
function ware(context) {
  const box = /** @type {HTMLDetailsElement} */ (byId("ware"));
  /** @type {Promise<void> | null} */
  let coming = null;
  /** @type {((snapshot: import("../../types.js").Snapshot) => void) | null} */
  let show = null;
  const fetchPanel = async () => {
    try {
      const { warePanel } = await import("./ware.js");
      show = warePanel(context);
      if (context.live.snapshot) show(context.live.snapshot);
    } catch {
      say(byId("ware-place"), words.notLoaded.text);
      coming = null;
    }
  };
  box.addEventListener("toggle", () => {
    if (box.open) coming ??= fetchPanel();
  });
  return (snapshot) => {
    box.hidden = snapshot.firing === null;
    show?.(snapshot);
  };
}

/** Markup and fixed texts of the record. @returns {HTMLElement[]} */
function sections() {
  return [
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
