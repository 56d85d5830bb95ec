/**
 * The chart of the firing that goes on: its rows are fetched once, those that come later are put
 * behind them, and what is expected is asked for anew now and then.
 */

import { FiringChart, spoken } from "../../chart.js";
import { breath, byId, say } from "../../dom.js";
import { ask } from "../../send.js";
import { clockShown } from "../../settings.js";
import { words } from "../../words.js";

/** @typedef {import("../../types.js").Course} Course */
/** @typedef {import("../../types.js").Snapshot} Snapshot */

const CHART_RETRY_MS = 3000;
const CHART_POINTS = 1500;
/** The forecast is asked for anew when something has happened, and after so long, of the kiln's time ... */
const COURSE_EVERY_S = 900;
/** ... and of ours. */
const COURSE_LEAST_MS = 5000;
/** So long the readings wait for the forecast, to be drawn with it. */
const COURSE_WAITED_MS = 400;

/** @param {import("../../types.js").Context} context */
export function chartPanel({ live, signal }) {
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
      if (chart.chart && isCourseOld(snapshot)) showCourse();
      box.setAttribute("aria-label", spoken(snapshot, unit));
    },
    onPoints: (points) => chart.add(points),
    onOpen: () => {
      wanted = "";
    },
  }, signal);

  async function fetchChart() {
    isWantedAgain = isComing;
    if (isComing || signal.aborted) return;
    isComing = true;
    let wait = 0;
    try {
      const course = fetchCourse();
      const found = await ask(`api/chart?max_points=${CHART_POINTS}`);
      const inTime = (await Promise.race([course, breath(COURSE_WAITED_MS)])) ?? null;
      chart.show(found, inTime);
      if (!inTime) course.then((late) => late && chart.showCourse(late));
    } catch {
      say(readout, words.chart.failed);
      isWantedAgain = true;
      wait = CHART_RETRY_MS;
    }
    isComing = false;
    if (isWantedAgain) setTimeout(fetchChart, wait);
  }

  /** @param {Snapshot} snapshot @returns {boolean} whether what is expected is to be asked for anew */
  function isCourseOld(snapshot) {
    const isLongAgo = Math.abs(snapshot.elapsed_s - courseAtS) >= COURSE_EVERY_S && performance.now() - courseAtMs >= COURSE_LEAST_MS;
    return !document.hidden && (whatCounts(snapshot) !== courseOf || isLongAgo);
  }

  async function showCourse() {
    const course = await fetchCourse();
    if (course) chart.showCourse(course);
  }

  /** @returns {Promise<Course | null>} null: not to be had; the chart is the same without, and it is asked for again */
  function fetchCourse() {
    const { snapshot } = live;
    if (snapshot) [courseAtS, courseAtMs, courseOf] = [snapshot.elapsed_s, performance.now(), whatCounts(snapshot)];
    return ask("api/course").catch(() => null);
  }

  function thinChart() {
    if (!isComing) fetchChart();
  }
}

/** What the forecast depends on but for the readings. @param {Snapshot} snapshot */
function whatCounts({ alerts, earlier, plan }) {
  return [plan?.step, plan?.activity, ...[...alerts, ...earlier].map(({ id }) => id)].join(" ");
}
