/**
 * Puts the page together: the link brings snapshots, the panels show them, and once a second the
 * last reading is aged by this phone's own clock, whatever the network does.
 */

import { FiringChart, spoken } from "./chart.js";
import { conePack } from "./cones.js";
import { byId, say } from "./dom.js";
import { logPanel, showBlind } from "./log.js";
import { alertsPanel, noteForm, showFooter, showHead, showNotes, showPlan, showTemps, showVerdict } from "./panels.js";
import { acceptOffset, acknowledge, addLook, addNote, ask, beginLog, endLog, withdrawLook, withdrawOffset } from "./send.js";
import { Link } from "./stream.js";
import { showDuration } from "./units.js";
import { judge } from "./verdict.js";
import { lookForm, lookList, offsetList } from "./witness.js";
import { words, wordAt } from "./words.js";

const UNIT_KEY = "spyhole.unit";
const CHART_RETRY_MS = 3000;
const CHART_POINTS = 1500;

/** @type {import("./types.js").Snapshot | null} */
let snapshot = null;
/** @type {import("./types.js").LinkState} */
let linkState = "connecting";
/** Age of the reading when it was told, and this phone's two clocks at that moment. */
let told = { ageS: /** @type {number | null} */ (null), steadyMs: 0, wallMs: 0 };
/** The scale chosen on this phone; null: the kiln's owner's. */
let chosenUnit = rememberedUnit();
let chartIsComing = false;
let chartIsWantedAgain = false;

for (const element of document.querySelectorAll("[data-words]")) {
  say(element, wordAt(/** @type {HTMLElement} */ (element).dataset.words ?? ""));
}
byId("chart-box").setAttribute("role", "img");

const chart = new FiringChart(byId("chart-box"), byId("chart-readout"), thinChart, (isWhole) => {
  byId("chart-whole").toggleAttribute("disabled", isWhole);
});
const showAlerts = alertsPanel(acknowledge);
const showCones = conePack(byId("cone-pack"));
const showLookForm = lookForm(addLook);
const showLooks = lookList(withdrawLook);
const showOffsets = offsetList(acceptOffset, withdrawOffset);
const showLog = logPanel(beginLog, endLog);
noteForm(addNote);
byId("chart-whole").addEventListener("click", () => chart.showWhole());
for (const scale of /** @type {const} */ (["C", "F"])) {
  byId(`unit-${scale}`).addEventListener("click", () => chooseUnit(scale));
}

new Link("api/stream", {
  onSnapshot(latest) {
    const isOtherFiring = chart.leaveOther(latest.firing?.id ?? null);
    const isOtherChart =
      isOtherFiring || (snapshot !== null && snapshot.chart_revision !== latest.chart_revision);
    snapshot = latest;
    hear(latest.reading_age_s);
    if (isOtherChart) fetchChart();
    showAll();
  },
  onPoints(points) {
    chart.add(points);
  },
  onBeat(beat) {
    hear(beat.reading_age_s);
    showAge();
  },
  onOpen: fetchChart,
  onState(state) {
    linkState = state;
    showAge();
  },
});
setInterval(showAge, 1000);
showAge();

/** @param {number | null} ageS */
function hear(ageS) {
  told = { ageS, steadyMs: performance.now(), wallMs: Date.now() };
}

/**
 * Age of the latest reading now. The steady clock may stop while the phone sleeps and the wall
 * clock may be set back, so the greater of the two counts.
 */
function ageNow() {
  if (told.ageS === null) return null;
  return told.ageS + Math.max(performance.now() - told.steadyMs, Date.now() - told.wallMs) / 1000;
}

function showAge() {
  const ageS = ageNow();
  say(byId("age"), ageS === null ? words.ageNone : words.age(showDuration(ageS)));
  const verdict = judge(snapshot, linkState, ageS, shownUnit());
  showVerdict(verdict);
  const where = snapshot ? snapshot.kiln.name : words.title;
  document.title = `${verdict.title} \u2013 ${where}`;
}

function showAll() {
  if (!snapshot) return;
  const shown = shownUnit();
  chart.setUnit(shown);
  showHead(snapshot);
  showAge();
  showAlerts(snapshot);
  showTemps(snapshot, shown);
  showPlan(snapshot, shown);
  showCones(snapshot, shown);
  showLookForm(snapshot);
  showLooks(snapshot);
  showOffsets(snapshot, shown);
  showNotes(snapshot);
  showLog(snapshot);
  showBlind(snapshot);
  showFooter(snapshot);
  byId("chart-box").setAttribute("aria-label", spoken(snapshot, shown));
  byId("cones").hidden = snapshot.cones.length === 0;
  byId("witness").hidden = snapshot.firing === null;
  for (const scale of ["C", "F"]) byId(`unit-${scale}`).setAttribute("aria-pressed", String(scale === shown));
}

/** One at a time: who asks while it is on its way gets another after it. */
async function fetchChart() {
  chartIsWantedAgain = chartIsComing;
  if (chartIsComing) return;
  chartIsComing = true;
  let wait = 0;
  try {
    chart.show(await ask(`api/chart?max_points=${CHART_POINTS}`));
  } catch {
    say(byId("chart-readout"), words.chart.failed);
    chartIsWantedAgain = true;
    wait = CHART_RETRY_MS;
  }
  chartIsComing = false;
  if (chartIsWantedAgain) setTimeout(fetchChart, wait);
}

function thinChart() {
  if (!chartIsComing) fetchChart();
}

/** @returns {import("./types.js").Unit} */
function shownUnit() {
  return chosenUnit ?? snapshot?.units ?? "C";
}

/** @returns {import("./types.js").Unit | null} */
function rememberedUnit() {
  try {
    const kept = localStorage.getItem(UNIT_KEY);
    return kept === "C" || kept === "F" ? kept : null;
  } catch {
    return null; // a browser that keeps nothing still shows everything
  }
}

/** @param {import("./types.js").Unit} scale */
function chooseUnit(scale) {
  chosenUnit = scale;
  try {
    localStorage.setItem(UNIT_KEY, scale);
  } catch {
    // Not remembered, but used as long as the page is open.
  }
  showAll();
}
