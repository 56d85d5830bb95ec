/**
 * The watch view's panels but chart and cones: each is made once the view is on the page, and then
 * takes a snapshot and shows its part of it. Knows where things stand, nothing of how they got
 * there.
 */

import { DASHES } from "../../chart.js";
import { byId, make, makeSvg, say, sign, whenChanged } from "../../dom.js";
import { newId } from "../../send.js";
import { ON_TIME_S, STEADY_C_PER_H, clock, showDifference, showDuration, showElapsed, showTemp } from "../../units.js";
import { words } from "../../words.js";

/** @typedef {import("../../types.js").Snapshot} Snapshot */
/** @typedef {import("../../types.js").Unit} Unit */

/** @returns {(verdict: import("../../types.js").Verdict) => void} */
export function verdictPanel() {
  const title = byId("verdict-title");
  const sentence = byId("verdict-sentence");
  const last = byId("verdict-last");
  const place = byId("verdict-sign");
  const setSign = whenChanged(/** @param {string} level */ (level) => place.replaceChildren(sign(level)));
  return (verdict) => {
    say(title, verdict.title);
    say(sentence, verdict.sentence);
    say(last, verdict.lastKnown ?? "");
    last.hidden = verdict.lastKnown === null;
    setSign(verdict.level);
  };
}

/**
 * @param {(id: string) => Promise<import("../../types.js").Accepted | null>} acknowledge
 * @returns {(snapshot: Snapshot) => void}
 */
export function alertsPanel(acknowledge) {
  const section = byId("alerts");
  const list = byId("alert-list");
  /** @type {Map<string, string>} what was said of acknowledgements that wait for the disk, by id */
  const waiting = new Map();
  /** @type {Snapshot | null} */
  let shown = null;
  const draw = whenChanged(
    /** @param {ReturnType<typeof view>[]} alerts */
    (alerts) => {
      section.hidden = alerts.length === 0;
      list.replaceChildren(...alerts.map((alert, index) => card(alert, index === 0)));
    });

  /** @param {import("../../types.js").Alert} alert @param {Snapshot} snapshot */
  function view(alert, snapshot) {
    const at = clock(alert.time);
    const title = words.kind[alert.kind] ?? words.otherKind;
    return {
      id: alert.id,
      severity: alert.severity,
      title: alert.channel ? `${title} (${alert.channel})` : title,
      message: alert.message,
      since: at
        ? words.alerts.since(at)
        : words.alerts.lasting(showDuration(snapshot.elapsed_s - alert.raised_at_s)),
      seen: alert.acknowledged_at === null ? null
        : clock(alert.acknowledged_at) ? words.alerts.seen(clock(alert.acknowledged_at) ?? "")
        : words.alerts.seenNoTime,
      told: alert.acknowledged_at === null ? told(alert) : null,
      waiting: waiting.get(alert.id) ?? null,
    };
  }

  /** @param {import("../../types.js").Alert} alert what was said of it since nobody answered */
  function told(alert) {
    const parts = [];
    const last = clock(alert.reminded_at);
    if (alert.reminders > 0) parts.push(words.alerts.reminded(alert.reminders, last));
    if (alert.escalated_at !== null) parts.push(words.alerts.escalated(clock(alert.escalated_at)));
    return parts.length ? parts.join(" ") : null;
  }

  /** @param {ReturnType<typeof view>} alert @param {boolean} isWorst */
  function card(alert, isWorst) {
    const problem = make("p", { class: "problem", role: "alert" });
    const button = make("button", { type: "button", class: "acknowledge" }, words.alerts.acknowledge);
    button.addEventListener("click", async () => {
      button.setAttribute("disabled", "");
      problem.textContent = "";
      say(button, words.alerts.sending);
      try {
        const accepted = await acknowledge(alert.id);
        if (accepted) waiting.set(alert.id, accepted.message);
        if (accepted && shown) show(shown);
      } catch (error) {
        button.removeAttribute("disabled");
        say(button, words.alerts.acknowledge);
        problem.textContent = words.alerts.failed(/** @type {Error} */ (error).message);
      }
    });
    const classes = `alert alert-${alert.severity}${isWorst ? " alert-worst" : ""}${alert.seen ? " alert-seen" : ""}`;
    return make("li", { class: classes },
      make("p", { class: "alert-kind" },
        sign(alert.seen ? "noted" : alert.severity),
        make("span", {}, words.severity[alert.severity]),
        make("span", { class: "alert-since" }, alert.since)),
      make("h3", {}, alert.title),
      make("p", { class: "alert-message" }, alert.message),
      alert.told ? make("p", { class: "alert-told" }, alert.told) : null,
      alert.seen ? make("p", { class: "alert-was-seen" }, alert.seen) : alert.waiting ? null : button,
      alert.waiting ? make("p", { class: "alert-waiting", role: "status" }, alert.waiting) : null,
      problem);
  }

  /** @param {Snapshot} snapshot */
  function show(snapshot) {
    // The one that still wants a person stands first and large; the server's order otherwise.
    const open = snapshot.alerts.filter((alert) => alert.cleared_at_s === null);
    const unseen = open.filter((alert) => alert.acknowledged_at === null);
    const seen = open.filter((alert) => alert.acknowledged_at !== null);
    draw([...unseen, ...seen].map((alert) => view(alert, snapshot)));
  }

  return (snapshot) => {
    // Once the disk takes everything again, nothing waits for it any more.
    if (shown?.record === "failing" && snapshot.record === "ok") waiting.clear();
    shown = snapshot;
    show(snapshot);
  };
}

/** @param {number} rate @param {Unit} unit */
function rateInWords(rate, unit) {
  if (Math.abs(rate) < STEADY_C_PER_H) return words.temps.steady;
  const shown = showDifference(Math.abs(rate), unit);
  return rate > 0 ? words.temps.climbing(shown) : words.temps.falling(shown);
}

/** @param {number} index of the channel: its colour and dash, as in the chart */
function swatch(index) {
  return makeSvg("svg", { class: `swatch swatch-${index % DASHES.length}`, viewBox: "0 0 28 8", "aria-hidden": "true" },
    makeSvg("line", { x1: "1", y1: "4", x2: "27", y2: "4", "stroke-dasharray": DASHES[index % DASHES.length].join(" ") }));
}

/** @returns {(snapshot: Snapshot, unit: Unit) => void} */
export function tempsPanel() {
  const list = byId("channels");
  const temp = byId("lead-temp");
  const name = byId("lead-name");
  const rate = byId("lead-rate");
  const spread = byId("spread");
  const spreadRow = byId("spread-row");
  const drawChannels = whenChanged(
    /** @param {{name: string, temp: string, rate: string, fault: string | null, leads: boolean}[]} rows */
    (rows) => {
      list.replaceChildren(
        ...rows.map((row, index) =>
          make("li", { class: row.fault ? "channel channel-bad" : "channel" },
            swatch(index),
            make("span", { class: "channel-name" }, row.name,
              row.leads ? make("span", { class: "leads", title: words.temps.leadsLong }, words.temps.leads) : null),
            make("span", { class: "channel-temp" }, row.temp),
            make("span", { class: "channel-rate" }, row.rate),
            row.fault ? make("p", { class: "channel-fault" }, sign("warning"), row.fault) : null)));
    });
  return (snapshot, unit) => {
    const { channels } = snapshot;
    const lead = channels.find((channel) => channel.leads && channel.temp_c !== null) ??
      channels.find((channel) => channel.temp_c !== null);
    say(temp, lead ? showTemp(lead.temp_c ?? 0, unit) : words.temps.none);
    say(name, lead?.name ?? "");
    say(rate, lead && lead.rate_c_per_h !== null ? rateInWords(lead.rate_c_per_h, unit) : "");
    drawChannels(channels.map((channel) => ({
      name: channel.name,
      temp: channel.temp_c === null ? words.temps.none : showTemp(channel.temp_c, unit),
      rate: channel.rate_c_per_h === null ? "" : rateInWords(channel.rate_c_per_h, unit),
      fault: channel.state === "ok" ? null : channel.fault ?? words.temps[channel.state],
      leads: channel.leads,
    })));
    spreadRow.hidden = snapshot.spread_c === null || channels.length < 2;
    say(spread, snapshot.spread_c === null ? "" : showDifference(snapshot.spread_c, unit));
  };
}

/** @returns {(snapshot: Snapshot, unit: Unit) => void} */
export function planPanel() {
  const steps = byId("plan-steps");
  const where = byId("plan-where");
  const doing = byId("plan-doing");
  const late = byId("plan-late");
  const end = byId("plan-end");
  const drawSteps = whenChanged(/** @param {{step: number, steps: number}} of */ (of) => {
    steps.replaceChildren(
      ...Array.from({ length: of.steps }, (_, index) =>
        make("span", { class: index + 1 < of.step ? "past" : index + 1 === of.step ? "present" : "" })));
  });
  return (snapshot, unit) => {
    const plan = snapshot.plan;
    // Once the plan is complete the kiln is neither late nor on time, and its end is not to come.
    for (const part of [late, end]) part.hidden = plan?.activity === "finished" || !plan;
    steps.hidden = plan === null;
    if (!plan) {
      say(where, words.plan.none);
      say(doing, "");
      return;
    }
    drawSteps({ step: plan.step, steps: plan.steps });
    say(where, words.plan.step(plan.step, plan.steps));
    const activity = words.plan.activity[plan.activity];
    const target = plan.target_c === null ? null : showTemp(plan.target_c, unit);
    const moves = plan.activity === "climbing" || plan.activity === "cooling";
    say(doing,
      target && moves ? words.plan.towards(activity, target)
      : target && plan.activity === "holding" ? words.plan.at(activity, target)
      : activity);
    say(late,
      plan.late_s === null ? ""
      : Math.abs(plan.late_s) < ON_TIME_S ? words.plan.onTime
      : plan.late_s > 0 ? words.plan.late(showDuration(plan.late_s))
      : words.plan.early(showDuration(-plan.late_s)));
    const at = plan.ends_in_s === null ? null : clock(snapshot.time, plan.ends_in_s);
    say(end,
      plan.ends_in_s === null ? ""
      : at ? words.plan.endsAt(at, showDuration(plan.ends_in_s))
      : words.plan.ends(showDuration(plan.ends_in_s)));
  };
}

/** @returns {(snapshot: Snapshot) => void} */
export function notesPanel() {
  const list = byId("note-list");
  const draw = whenChanged(/** @param {import("../../types.js").Note[]} notes */ (notes) => {
    list.replaceChildren(
      ...(notes.length ? notes.map((note) =>
        make("li", {},
          make("p", { class: "note-head" }, clock(note.time) ?? showElapsed(note.elapsed_s), note.by ? ` · ${note.by}` : null),
          make("p", { class: "note-text" }, note.text)))
      : [make("li", { class: "note-none" }, words.notes.none)]));
  });
  return (snapshot) => draw(snapshot.notes);
}

/**
 * @param {(text: string, id: string) => Promise<import("../../types.js").Note | import("../../types.js").Accepted>} addNote
 */
export function noteForm(addNote) {
  // The same text tried again is the same note; another text is another.
  let draft = { text: "", id: "" };
  const form = byId("note-form");
  const text = /** @type {HTMLTextAreaElement} */ (byId("note-text"));
  const button = byId("note-save");
  const answer = byId("note-answer");
  const leftOver = byId("note-left");
  const count = () => {
    const left = text.maxLength - text.value.length;
    say(leftOver, left < 300 ? words.notes.left(left) : "");
  };
  text.addEventListener("input", () => {
    say(answer, "");
    count();
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (!text.value.trim()) {
      say(answer, words.notes.empty);
      text.focus();
      return;
    }
    button.setAttribute("disabled", "");
    say(answer, words.notes.saving);
    if (draft.text !== text.value) draft = { text: text.value, id: newId() };
    try {
      const told = await addNote(draft.text, draft.id);
      draft = { text: "", id: "" };
      text.value = "";
      say(answer, "accepted" in told ? told.message : words.notes.saved);
      count();
    } catch (error) {
      say(answer, words.notes.failed(/** @type {Error} */ (error).message));
    } finally {
      button.removeAttribute("disabled");
    }
  });
}
