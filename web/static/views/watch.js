/**
 * The view of the running firing: is it fine, and if not, what do I go and look at. Puts its panels
 * on the page and brings them what the link brings.
 */

import { FiringChart, spoken } from "../chart.js";
import { byId, say } from "../dom.js";
import { acceptOffset, acknowledge, addLook, addNote, ask, beginLog, endLog, withdrawLook, withdrawNote, withdrawOffset } from "../send.js";
import { clockShown } from "../settings.js";
import { words } from "../words.js";
import { alertsPanel, earlierList } from "./watch/alerts.js";
import { layout } from "./watch/layout.js";
import { blindLine, logPanel } from "./watch/log.js";
import { conePack } from "./watch/pack.js";
import { noteForm, notesPanel, quickNotes } from "./watch/notes.js";
import { planPanel, tempsPanel, verdictPanel } from "./watch/panels.js";
import { warePanel } from "./watch/ware.js";
import { lookForm, lookList, offsetList } from "./watch/witness.js";

const CHART_RETRY_MS = 3000;
const CHART_POINTS = 1500;
/** The forecast is asked for anew when something has happened, and after so long, of the kiln's time ... */
const COURSE_EVERY_S = 900;
/** ... and of ours. */
const COURSE_LEAST_MS = 5000;

/**
 * @param {HTMLElement} root
 * @param {import("../types.js").Context} context
 */
export function mount(root, context) {
  const { live, signal } = context;
  root.append(...layout());
  noteForm(addNote);
  const showVerdict = verdictPanel();
  const shows = [
    alertsPanel(acknowledge), earlierList(), tempsPanel(), planPanel(), conePack(), lookForm(addLook),
    lookList(withdrawLook), offsetList(acceptOffset, withdrawOffset), quickNotes(addNote), notesPanel(withdrawNote),
    logPanel(beginLog, endLog), blindLine(), warePanel(context),
  ];
  const box = byId("chart-box");
  const readout = byId("chart-readout");
  const whole = byId("chart-whole");
  const chart = new FiringChart(box, readout, thinChart, (isWhole) => whole.toggleAttribute("disabled", isWhole));
  whole.addEventListener("click", () => chart.showWhole());
  signal.addEventListener("abort", () => chart.remove());

  let isComing = false;
  /** Asked for while one was on its way: another one follows it. */
  let isWantedAgain = false;
  /** Which chart is shown or on its way; empty when what came meanwhile is unknown. */
  let wanted = "";

  let courseAtS = -Infinity;
  let courseAtMs = -Infinity;
  let courseOf = "";

  live.listen({
    onSnapshot(snapshot) {
      const unit = live.unit();
      chart.leaveOther(snapshot.firing?.id ?? null);
      chart.setUnit(unit);
      chart.setClock(clockShown());
      const now = `${snapshot.firing?.id ?? ""} ${snapshot.chart_revision}`;
      if (now !== wanted) fetchChart();
      wanted = now;
      for (const show of shows) show(snapshot, unit);
      keepCourse(snapshot);
      box.setAttribute("aria-label", spoken(snapshot, unit));
    },
    onPoints: (points) => chart.add(points),
    onOpen: () => {
      wanted = "";
    },
    onAge: () => showVerdict(live.verdict()),
  }, signal);

  async function fetchChart() {
    isWantedAgain = isComing;
    if (isComing || signal.aborted) return;
    isComing = true;
    let wait = 0;
    try {
      chart.show(await ask(`api/chart?max_points=${CHART_POINTS}`));
      [courseAtS, courseAtMs] = [-Infinity, -Infinity];
      if (live.snapshot) keepCourse(live.snapshot);
    } catch {
      say(readout, words.chart.failed);
      isWantedAgain = true;
      wait = CHART_RETRY_MS;
    }
    isComing = false;
    if (isWantedAgain) setTimeout(fetchChart, wait);
  }

  /** @param {import("../types.js").Snapshot} snapshot */
  async function keepCourse(snapshot) {
    const now = performance.now();
    const { alerts, earlier, plan } = snapshot;
    const what = [plan?.step, plan?.activity, ...[...alerts, ...earlier].map(({ id }) => id)].join(" ");
    const isOld = Math.abs(snapshot.elapsed_s - courseAtS) >= COURSE_EVERY_S && now - courseAtMs >= COURSE_LEAST_MS;
    if (!chart.chart || signal.aborted || document.hidden || (what === courseOf && !isOld)) return;
    [courseAtS, courseAtMs, courseOf] = [snapshot.elapsed_s, now, what];
    try {
      chart.showCourse(await ask("api/course"));
    } catch {
      // The chart is the same without; it is asked for again with the next minute.
    }
  }

  function thinChart() {
    if (!isComing) fetchChart();
  }
}
