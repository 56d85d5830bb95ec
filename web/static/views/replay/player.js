/**
 * One firing played: the panels of the watch, filled from a film instead of the kiln, and the keys
 * that move through its time. Everything is worked out here; the server is asked once.
 */

import { FiringChart, spoken } from "../../chart.js";
import { byId, make, makeSvg, say, sayWhy, sign, whenChanged } from "../../dom.js";
import { addressOf } from "../../places.js";
import { sayingOf } from "../../saying.js";
import { language } from "../../settings.js";
import { clock, showElapsed, tight } from "../../units.js";
import { judge } from "../../verdict.js";
import { words } from "../../words.js";
import { chartSection, conesSection, planSection, tempsSection } from "../watch/layout.js";
import { conePack } from "../watch/pack.js";
import { planPanel, tempsPanel } from "../watch/panels.js";
import { askFilm } from "./asking.js";
import { calledOf } from "./called.js";
import { Clockwork, placeAt } from "./clockwork.js";
import { words as replayWords } from "./words.js";

/** @typedef {import("./asking.js").Film} Film */
/** @typedef {import("./asking.js").Frame} Frame */
/** @typedef {import("./asking.js").FilmEvent} FilmEvent */
/** @typedef {import("../../types.js").Alert} Alert */
/** @typedef {import("../../types.js").Snapshot} Snapshot */
/** @typedef {import("../../types.js").Unit} Unit */

const SPEEDS = [1, 60, 300, 900, 3600];
const FIRST_SPEED = 900;
const PANELS_EVERY_MS = 150;
const CHART_EVERY_MS = 300;
const EVENTS_SHOWN = 40;
const RULE = { width: 1000, height: 10 };

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 */
export async function player(root, { live, place, signal }) {
  const name = make("strong", {});
  const status = make("p", { class: "panel replay-status", role: "status" }, replayWords.winding(0));
  root.append(
    make("p", { class: "replay-back" }, make("a", { href: addressOf("replay") }, replayWords.all)),
    make("div", { class: "replay-strip" }, make("p", {}, replayWords.strip), make("p", {}, name)),
    status);
  /** @type {Film | null} */
  let film = null;
  try {
    film = await askFilm(place.name ?? "", ({ share, waiting }) => {
      say(status, waiting > 0 ? replayWords.waiting(waiting) : replayWords.winding(Math.floor(share * 10) * 10));
    }, signal);
  } catch (error) {
    sayWhy(status, error);
  }
  if (!film || signal.aborted) return;
  status.remove();
  say(name, calledOf(film.entry));
  play(root, film, live, signal);
}

/**
 * @param {HTMLElement} root
 * @param {Film} film
 * @param {import("../../live.js").Live} live
 * @param {AbortSignal} signal
 */
function play(root, film, live, signal) {
  const { frames, events, chart } = film;
  const from = frames[0].elapsed_s;
  const to = frames[frames.length - 1].elapsed_s;
  const title = make("h2", {});
  const sentence = make("p", {});
  const place = make("div", { class: "replay-sign" });
  const standing = make("ul", { class: "replay-standing" });
  const said = make("ol", { class: "replay-events" });
  const when = make("span", { class: "replay-when" });
  const range = /** @type {HTMLInputElement} */ (make("input", {
    type: "range", class: "replay-range", min: String(from), max: String(to), step: "1", "aria-label": replayWords.scrub,
  }));
  const playButton = make("button", { type: "button", class: "small replay-play" });
  const back = make("button", { type: "button", class: "small", "aria-label": replayWords.previousLong }, replayWords.previous);
  const next = make("button", { type: "button", class: "small", "aria-label": replayWords.nextLong }, replayWords.next);
  const speed = /** @type {HTMLSelectElement} */ (make("select", { id: "replay-speed" },
    ...SPEEDS.map((one) => make("option", { value: String(one) }, replayWords.times(one)))));
  root.append(
    make("section", { class: "panel replay-verdict", "aria-labelledby": "replay-verdict-heading" },
      make("p", { id: "replay-verdict-heading", class: "small-print" }, replayWords.verdict), place, title, sentence, standing),
    tempsSection(), chartSection(), planSection(), conesSection(),
    make("section", { class: "panel", "aria-labelledby": "replay-said-heading" },
      make("h2", { id: "replay-said-heading" }, replayWords.said), said),
    make("section", { class: "replay-keys", "aria-label": replayWords.keys },
      make("p", { class: "replay-now" }, make("strong", {}, replayWords.notNow), when),
      make("div", { class: "replay-track" }, marks(film, from, to), range),
      make("div", { class: "replay-buttons" }, playButton, back, next,
        make("label", { for: "replay-speed", class: "heard-only" }, replayWords.speed), speed)));

  const shows = [tempsPanel(), planPanel(), conePack()];
  const box = byId("chart-box");
  const whole = byId("chart-whole");
  const drawn = new FiringChart(box, byId("chart-readout"), () => {}, (isWhole) => whole.toggleAttribute("disabled", isWhole));
  whole.addEventListener("click", () => drawn.showWhole());
  signal.addEventListener("abort", () => drawn.remove());
  const drawSign = whenChanged(/** @param {string} level */ (level) => place.replaceChildren(sign(level)));
  const drawStanding = whenChanged(/** @param {{alerts: Alert[], unit: Unit}} now */ ({ alerts, unit }) => {
    standing.replaceChildren(...alerts.map((alert) => make("li", {}, sign(alert.severity), spanOf(alertSaid(alert, unit)))));
  });
  const drawSaid = whenChanged(/** @param {{count: number, unit: Unit}} now */ ({ count, unit }) => {
    const shown = events.slice(Math.max(0, count - EVENTS_SHOWN), count).map((event) => eventRow(event, unit));
    said.replaceChildren(...(shown.length ? shown.reverse() : [make("li", {}, replayWords.nothingYet)]));
  });
  let panelsMs = -Infinity;
  let chartMs = -Infinity;
  let rows = -1;

  const works = new Clockwork(from, to, tick, signal);
  works.speed = FIRST_SPEED;
  speed.value = String(FIRST_SPEED);
  playButton.addEventListener("click", () => (works.isPlaying ? works.pause() : works.play()));
  speed.addEventListener("change", () => { works.speed = Number(speed.value); });
  range.addEventListener("input", () => works.set(Number(range.value)));
  next.addEventListener("click", () => jump(events.find((event) => event.elapsed_s > works.atS)?.elapsed_s));
  back.addEventListener("click", () => jump(events.findLast((event) => event.elapsed_s < works.atS)?.elapsed_s ?? from));
  live.listen({ onSnapshot: () => show(true) }, signal);
  tick();

  /** @param {number | undefined} atS */
  function jump(atS) {
    if (atS !== undefined) works.set(atS);
  }

  function tick() {
    say(playButton, works.isPlaying ? replayWords.pause : replayWords.play);
    show(!works.isPlaying);
  }

  /** @param {boolean} isAtOnce whatever was shown a moment ago */
  function show(isAtOnce) {
    const now = performance.now();
    const at = works.atS;
    if (isAtOnce || now - panelsMs >= PANELS_EVERY_MS) {
      panelsMs = now;
      showPanels(at);
    }
    if (isAtOnce || now - chartMs >= CHART_EVERY_MS) {
      chartMs = now;
      showChart(at);
    }
  }

  /** @param {number} at */
  function showPanels(at) {
    const unit = live.unit();
    const snapshot = snapshotAt(film, frames[Math.max(placeAt(frames, at), 0)]);
    const verdict = judge(snapshot, "open", 0, unit);
    say(title, verdict.title);
    say(sentence, verdict.sentence);
    drawSign(verdict.level);
    drawStanding({ alerts: snapshot.alerts, unit });
    drawSaid({ count: placeAt(events, at) + 1, unit });
    for (const one of shows) one(snapshot, unit);
    box.setAttribute("aria-label", spoken(snapshot, unit));
    const time = clock(chart.start_time, at);
    const told = time ? replayWords.atClock(time, showElapsed(at)) : showElapsed(at);
    say(when, told);
    range.value = String(at);
    range.setAttribute("aria-valuetext", told);
    back.toggleAttribute("disabled", at <= from);
    next.toggleAttribute("disabled", !events.length || events[events.length - 1].elapsed_s <= at);
  }

  /** @param {number} at */
  function showChart(at) {
    drawn.setUnit(live.unit());
    let count = 0;
    while (count < chart.elapsed_s.length && chart.elapsed_s[count] <= at) count += 1;
    if (count === rows) return;
    rows = count;
    drawn.show({
      firing_id: film.entry.id,
      elapsed_s: chart.elapsed_s.slice(0, count),
      channels: Object.fromEntries(Object.entries(chart.channels).map(([channel, temps]) => [channel, temps.slice(0, count)])),
      plan: chart.plan,
      until_s: to,
      start_time: chart.start_time,
      chart_revision: 0,
      revision: 0,
    });
  }

  /** What an alert says, in the scale and language of this phone. @param {Pick<Alert, "kind" | "channel" | "message" | "data" | "time">} what @param {Unit} unit */
  function alertSaid(what, unit) {
    const { kiln, units } = film;
    return sayingOf(/** @type {Alert} */ (what), /** @type {Snapshot} */ ({ kiln, units }), unit);
  }

  /** What was said, but in another language than English nothing that only the title can say. @param {FilmEvent} event @param {Unit} unit */
  function saidOf(event, unit) {
    if (event.by === "note") return { text: tight(event.message), lang: null };
    const found = alertSaid(event, unit);
    if (event.state === "cleared") return language === "en" ? { text: tight(event.message), lang: null } : null;
    return found.lang === null ? found : null;
  }

  /** @param {FilmEvent} event @param {Unit} unit */
  function eventRow(event, unit) {
    const told = saidOf(event, unit);
    const time = clock(chart.start_time, event.elapsed_s) ?? showElapsed(event.elapsed_s);
    const isOver = event.state === "cleared";
    const what = event.by === "note" ? replayWords.note : words.kind[event.kind] ?? words.otherKind;
    const button = make("button", { type: "button", class: "replay-event", onclick: () => works.set(event.elapsed_s) },
      sign(event.by === "note" || isOver ? "noted" : event.severity),
      make("span", { class: "replay-event-time" }, time),
      make("span", { class: "replay-event-what" }, isOver ? replayWords.over(what) : what),
      told ? make("span", { class: "replay-event-said" }, told.text) : null);
    return make("li", { class: `replay-${isOver ? "over" : event.severity}` }, button);
  }
}

/** @param {import("../../saying.js").Said} said */
function spanOf({ text, lang }) {
  return make("span", lang ? { lang } : {}, text);
}

/**
 * A frame as the panels know a snapshot.
 * @param {Film} film
 * @param {Frame} frame
 * @returns {Snapshot}
 */
function snapshotAt(film, frame) {
  const { events, entry, kiln, units } = film;
  const alerts = frame.open.map((place) => ({
    id: String(place), kind: events[place].kind, severity: events[place].severity, channel: events[place].channel,
    message: events[place].message, data: events[place].data, raised_at_s: events[place].elapsed_s, time: events[place].time,
    cleared_at_s: null, acknowledged_at: null, reminders: 0, reminded_at: null, escalated_at: null,
  }));
  const lead = frame.channels.find((channel) => channel.leads);
  return {
    ...frame, kiln, units, alerts, mode: "replay", temp_c: lead?.temp_c ?? null, rate_c_per_h: lead?.rate_c_per_h ?? null, speed: 1, blind: null, recording: true,
    firing: { id: entry.id, name: entry.name, started_at: entry.started_at, state: frame.state },
    earlier: [], log: { state: "open", next_plan: null }, reading_age_s: 0, stale_after_s: Infinity, stale: false,
    witness: [], offsets: [], notes: [], mqtt: "off", notify_failing: [], record: "ok", chart_revision: 0, revision: 0,
  };
}

/**
 * Where on the way something was said: taller the worse. For the eye; the list has the words.
 * @param {Film} film
 * @param {number} from
 * @param {number} to
 */
function marks(film, from, to) {
  const heights = { info: 0.45, warning: 0.75, critical: 1 };
  const raised = film.events.filter((event) => event.state === "raised");
  return makeSvg("svg", { class: "replay-marks", viewBox: `0 0 ${RULE.width} ${RULE.height}`, preserveAspectRatio: "none", "aria-hidden": "true" },
    ...raised.map((event) => {
      const x = (((event.elapsed_s - from) / Math.max(to - from, 1)) * RULE.width).toFixed(1);
      return makeSvg("line", {
        class: `replay-mark-${event.severity}`, x1: x, x2: x, y1: String(RULE.height), y2: String(RULE.height * (1 - heights[event.severity])),
        "vector-effect": "non-scaling-stroke",
      });
    }));
}
