/**
 * The open alerts, the one that still wants a person first and large, each with what to go and look
 * at and one button; and those of this firing that are over. Knows taps and words.
 */

import { byId, make, say, sayIn, sayWhy, sign, whenChanged } from "../../dom.js";
import { saidApart, titleOf } from "../../saying.js";
import { clock, showDuration, showElapsed } from "../../units.js";
import { words } from "../../words.js";

/** @typedef {import("../../types.js").Alert} Alert */
/** @typedef {import("../../types.js").Snapshot} Snapshot */
/** @typedef {import("../../types.js").Unit} Unit */
/** What to do comes first; what it may be, and with what care, after it. */
const FIRST_CLAUSE = /^(.*?[.;:](?=\s|$))(.*)$/s;

/** @typedef {(id: string) => Promise<import("../../types.js").Accepted | null>} Acknowledge */

/**
 * @param {Acknowledge} acknowledge
 * @returns {(snapshot: Snapshot, unit: Unit) => void}
 */
export function alertsPanel(acknowledge) {
  const section = byId("alerts");
  const list = byId("alert-list");
  /** @type {Map<string, string>} what was said of acknowledgements that wait for the disk, by id */
  const waiting = new Map();
  /** Cards stay where they are while news come in: a button under a thumb stays put. */
  /** @type {Map<string, ReturnType<typeof card>>} */
  let cards = new Map();
  /** @type {{snapshot: Snapshot, unit: Unit} | null} */
  let shown = null;
  const arrange = whenChanged(/** @param {string[]} ids */ (ids) => {
    section.hidden = ids.length === 0;
    list.replaceChildren(...ids.map((id) => /** @type {ReturnType<typeof card>} */ (cards.get(id)).element));
  });

  /** @param {Snapshot} snapshot @param {Unit} unit */
  function show(snapshot, unit) {
    // The one that still wants a person stands first and large; the server's order otherwise.
    const open = snapshot.alerts.filter((alert) => alert.cleared_at_s === null);
    const unseen = open.filter((alert) => alert.acknowledged_at === null);
    const seen = open.filter((alert) => alert.acknowledged_at !== null);
    const ordered = [...unseen, ...seen];
    cards = new Map(ordered.map(({ id }) => [id, cards.get(id) ?? card(id, tap)]));
    ordered.forEach((alert, index) =>
      cards.get(alert.id)?.show(alert, snapshot, unit, index === 0, waiting.get(alert.id) ?? null));
    arrange(ordered.map(({ id }) => id));
  }

  /** @type {Acknowledge} */
  async function tap(id) {
    const accepted = await acknowledge(id);
    if (accepted) waiting.set(id, accepted.message);
    if (accepted && shown) show(shown.snapshot, shown.unit);
    return accepted;
  }

  return (snapshot, unit) => {
    // Once the disk takes everything again, nothing waits for it any more.
    if (shown?.snapshot.record === "failing" && snapshot.record === "ok") waiting.clear();
    shown = { snapshot, unit };
    show(snapshot, unit);
  };
}

/**
 * One alert's card.
 * @param {string} id
 * @param {Acknowledge} acknowledge
 */
function card(id, acknowledge) {
  const kind = make("p", { class: "alert-kind" });
  const severity = make("span");
  const since = make("span", { class: "alert-since" });
  const title = make("h3");
  const first = make("strong");
  const further = make("span");
  const look = make("p", { class: "alert-look" }, first, further);
  const message = make("p", { class: "alert-message" });
  const again = make("p");
  const wasSeen = make("p", { class: "alert-was-seen" });
  const told = make("p", { class: "alert-waiting", role: "status" });
  const problem = make("p", { class: "problem", role: "alert" });
  const button = make("button", { type: "button", class: "acknowledge" }, words.alerts.acknowledge);
  const element = make("li", {}, kind, title, look, message, again, wasSeen, button, told, problem);
  const setSign = whenChanged(/** @param {string} name */ (name) => kind.replaceChildren(sign(name), severity, since));
  button.addEventListener("click", async () => {
    button.setAttribute("disabled", "");
    problem.textContent = "";
    say(button, words.alerts.sending);
    try {
      await acknowledge(id);
    } catch (error) {
      button.removeAttribute("disabled");
      say(button, words.alerts.acknowledge);
      sayWhy(problem, error, words.alerts.failed);
    }
  });

  /**
   * @param {Alert} alert
   * @param {Snapshot} snapshot
   * @param {Unit} unit
   * @param {boolean} isWorst
   * @param {string | null} waits what was said of its acknowledgement, while the disk has it not
   */
  function show(alert, snapshot, unit, isWorst, waits) {
    const isSeen = alert.acknowledged_at !== null;
    element.className = `alert alert-${alert.severity}${isWorst ? " alert-worst" : ""}${isSeen ? " alert-seen" : ""}`;
    setSign(isSeen ? "noted" : alert.severity);
    say(severity, words.severity[alert.severity]);
    const at = clock(alert.time);
    say(since, at ? words.alerts.since(at) : words.alerts.lasting(showDuration(snapshot.elapsed_s - alert.raised_at_s)));
    say(title, titleOf(alert));
    const said = saidApart(alert, snapshot, unit);
    sayIn(message, said);
    const [, walk, rest] = FIRST_CLAUSE.exec(said.look ?? "") ?? ["", said.look ?? "", ""];
    say(first, walk);
    say(further, rest);
    look.lang = said.lang ?? "";
    look.hidden = said.look === null;
    const soFar = isSeen ? "" : toldAgain(alert);
    say(again, soFar);
    again.className = soFar ? "alert-told" : "";
    again.hidden = soFar === "";
    const seenAt = clock(alert.acknowledged_at);
    say(wasSeen, !isSeen ? "" : seenAt ? words.alerts.seen(seenAt) : words.alerts.seenNoTime);
    wasSeen.hidden = !isSeen;
    say(told, waits ?? "");
    told.hidden = waits === null;
    button.hidden = isSeen || waits !== null;
  }

  return { element, show };
}

/** What was said of it since nobody answered. @param {Alert} alert */
function toldAgain(alert) {
  const parts = [];
  if (alert.reminders > 0) parts.push(words.alerts.reminded(alert.reminders, clock(alert.reminded_at)));
  if (alert.escalated_at !== null) parts.push(words.alerts.escalated(clock(alert.escalated_at)));
  return parts.join(" ");
}

/** The alerts of this firing that are over, each on a line. @returns {(snapshot: Snapshot) => void} */
export function earlierList() {
  const section = byId("earlier");
  const list = byId("earlier-list");
  const draw = whenChanged(
    /** @param {{severity: string, when: string, title: string}[]} rows */
    (rows) => {
      section.hidden = rows.length === 0;
      list.replaceChildren(...rows.map((row) => make("li", {},
        sign(row.severity), make("span", { class: "earlier-when" }, row.when), make("span", {}, row.title))));
    });
  return (snapshot) => draw(snapshot.earlier.map((alert) => {
    const from = clock(alert.time) ?? showElapsed(alert.raised_at_s);
    // Its end is told in elapsed time; the kiln's clock has it as far from the beginning.
    const to = alert.cleared_at_s === null ? null
      : clock(alert.time, alert.cleared_at_s - alert.raised_at_s) ?? showElapsed(alert.cleared_at_s);
    return {
      severity: alert.severity,
      when: to === null || to === from ? from : words.alerts.span(from, to),
      title: titleOf(alert),
    };
  }));
}
