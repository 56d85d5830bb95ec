/**
 * The watch view's verdict, temperatures and place in the plan: each panel is made once the view is
 * on the page, and then takes a snapshot and shows its part of it. Knows where things stand, nothing
 * of how they got there.
 */

import { byId, make, say, sign, whenChanged } from "../../dom.js";
import { swatch } from "../../looks.js";
import { faultOf } from "../../saying.js";
import { ON_TIME_S, STEADY_C_PER_H, clock, showDifference, showDuration, showTemp } from "../../units.js";
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

/** @param {number} rate @param {Unit} unit */
function rateInWords(rate, unit) {
  if (Math.abs(rate) < STEADY_C_PER_H) return words.temps.steady;
  const shown = words.anHour(showDifference(Math.abs(rate), unit));
  return rate > 0 ? words.temps.climbing(shown) : words.temps.falling(shown);
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
    /** @param {{name: string, temp: string, rate: string, fault: import("../../saying.js").Said | null, leads: boolean}[]} rows */
    (rows) => {
      list.replaceChildren(
        ...rows.map((row, index) =>
          make("li", { class: row.fault ? "channel channel-bad" : "channel" },
            swatch(index),
            make("span", { class: "channel-name" }, row.name,
              row.leads ? make("span", { class: "leads", title: words.temps.leadsLong }, words.temps.leads) : null),
            make("span", { class: "channel-temp" }, row.temp),
            make("span", { class: "channel-rate" }, row.rate),
            row.fault ? make("p", { class: "channel-fault" }, sign("warning"),
              make("span", row.fault.lang ? { lang: row.fault.lang } : {}, row.fault.text)) : null)));
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
      fault: faultOf(channel),
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

/** For how long nothing was seen of the kiln. @returns {(snapshot: Snapshot) => void} */
export function blindLine() {
  const line = byId("blind");
  return ({ blind }) => {
    line.hidden = blind === null;
    if (blind === null) return;
    const from = clock(blind.from_time);
    const to = clock(blind.to_time);
    say(line, blind.lasted_s === null || from === null || to === null
      ? words.blind.unknown(from ?? words.blind.sometime)
      : words.blind.known(from, to, showDuration(blind.lasted_s)));
  };
}
