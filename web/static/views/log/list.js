/**
 * The firings of the record, newest first: searched, a page at a time, ticked to be compared. What is
 * looked for stands in the address, so that the way back leads to the same list.
 */

import { CONE_NAMES } from "../../cones.js";
import { make, say, sayWhy, sign } from "../../dom.js";
import { addressOf } from "../../places.js";
import { clockShown } from "../../settings.js";
import { showDuration, showTemp } from "../../units.js";
import { words } from "../../words.js";
import { findFirings } from "./asking.js";
import { dayAndTime } from "./figures.js";
import { halves } from "./ways.js";
import { words as logWords } from "./words.js";

/** @typedef {import("./asking.js").Row} Row */
/** @typedef {import("../../types.js").Unit} Unit */

const PAGE = 30;
const TYPING_MS = 300;
/** As MOST of web/comparing.py. */
const MOST_COMPARED = 6;
const WANTED = /** @type {const} */ (["search", "kiln", "cone", "mode", "since", "until"]);

/**
 * @param {HTMLElement} root
 * @param {import("../../types.js").Context} context
 */
export async function show(root, { live, place, signal }) {
  const list = make("ul", { class: "log-list" });
  const told = make("p", { class: "log-count", role: "status" });
  const problem = make("p", { class: "problem", role: "alert" });
  const more = make("button", { type: "button", class: "small", hidden: true }, logWords.list.more);
  const { form, wanted, offerKilns } = searchForm(place.query);
  const choice = compareBar();
  /** @type {Row[]} */
  let rows = [];
  let total = 0;
  let asked = 0;
  let drawn = "";
  root.append(
    halves("firings"),
    make("section", { class: "panel", "aria-labelledby": "log-heading" },
      make("h2", { id: "log-heading" }, logWords.list.heading), form, told, problem, list,
      make("div", { class: "log-buttons" }, more)),
    choice.bar);

  /** @param {boolean} isNext the next page, else from the beginning */
  async function find(isNext) {
    const turn = ++asked;
    const query = wanted();
    more.setAttribute("disabled", "");
    try {
      const page = await findFirings({ ...query, offset: String(isNext ? rows.length : 0), limit: String(PAGE) });
      if (turn !== asked || signal.aborted) return;
      say(problem, "");
      const first = isNext ? rows.length : -1;
      rows = isNext ? [...rows, ...page.firings] : page.firings;
      total = page.total;
      offerKilns(page.kilns);
      draw();
      // Who asked for more goes on where it begins.
      if (first >= 0) list.querySelectorAll("a")[first]?.focus();
      if (!isNext) history.replaceState(null, "", addressOf("log", null, query));
    } catch (error) {
      if (turn === asked) sayWhy(problem, error, logWords.failed);
    } finally {
      more.removeAttribute("disabled");
    }
  }

  function draw() {
    drawn = `${live.unit()} ${clockShown()}`;
    more.hidden = rows.length >= total;
    say(told, total === 0 ? (Object.keys(wanted()).length ? logWords.list.noneFound : logWords.list.none)
      : rows.length < total ? logWords.list.some(String(rows.length), String(total)) : logWords.list.firings(total));
    list.replaceChildren(...rows.map((row) => entry(row, live.unit(), choice)));
  }

  let waiting = 0;
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => find(false), TYPING_MS);
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    clearTimeout(waiting);
    find(false);
  });
  signal.addEventListener("abort", () => clearTimeout(waiting));
  more.addEventListener("click", () => find(true));
  await find(false);
  live.listen({
    onSnapshot() {
      // Before anything has come, that there is no firing is not known either.
      if (drawn && drawn !== `${live.unit()} ${clockShown()}`) draw();
    },
  }, signal);
}

/**
 * @param {Row} row
 * @param {Unit} unit
 * @param {ReturnType<typeof compareBar>} choice
 */
function entry(row, unit, choice) {
  const when = dayAndTime(row.started_at);
  const tick = /** @type {HTMLInputElement} */ (make("input", {
    type: "checkbox", "aria-label": logWords.list.tick([words.called(row.name), when ?? row.id].join(", ")),
  }));
  tick.checked = choice.has(row.id);
  tick.addEventListener("change", () => {
    tick.checked = choice.choose(row.id, tick.checked);
  });
  const came = [
    row.peak_c === null ? null : showTemp(row.peak_c, unit),
    row.cone === null ? null : words.cones.name(row.cone),
    row.length_s === null ? null : showDuration(row.length_s),
  ].filter((one) => one !== null).join(" · ");
  const about = [
    row.kiln,
    row.mode === "live" ? null : logWords.mode[row.mode],
    ...["notes", "looks", "findings", "photos"].map((what) => {
      const kind = /** @type {"notes" | "looks" | "findings" | "photos"} */ (what);
      return row[kind] ? logWords.counts[kind](row[kind]) : null;
    }),
  ].filter((one) => one !== null).join(" · ");
  return make("li", {},
    make("label", { class: "log-tick" }, tick),
    make("a", { href: addressOf("log", row.id) },
      make("span", { class: "log-name" }, words.called(row.name) || row.id),
      make("span", { class: "log-when" }, when ?? logWords.undated),
      came ? make("span", { class: "log-came" }, came) : null,
      make("span", { class: "log-about" }, about)),
    make("span", { class: "log-signs" },
      row.is_open ? make("span", { class: "log-open" }, logWords.goesOn) : null,
      alertsSign("critical", row.critical), alertsSign("warning", row.warnings)));
}

/** @param {"critical" | "warning"} severity @param {number} count */
function alertsSign(severity, count) {
  if (!count) return null;
  return make("span", { class: `log-sign log-${severity}` }, sign(severity), make("span", { "aria-hidden": "true" }, String(count)),
    make("span", { class: "heard-only" }, logWords.alerts[severity](count)));
}

/**
 * @param {URLSearchParams} query what the address asks for
 */
function searchForm(query) {
  const search = make("input", {
    type: "search", id: "log-search", maxlength: "200", autocomplete: "off", value: query.get("search") ?? "",
  });
  const kiln = make("select", { id: "log-kiln" });
  const cone = make("select", { id: "log-cone" }, make("option", { value: "" }, logWords.search.any),
    ...CONE_NAMES.map((name) => make("option", { value: name }, words.cones.name(name))));
  const mode = make("select", { id: "log-mode" }, make("option", { value: "" }, logWords.search.any),
    ...(/** @type {const} */ (["live", "replay", "simulation"])).map((name) => make("option", { value: name }, logWords.mode[name])));
  const since = make("input", { type: "date", id: "log-since", value: query.get("since") ?? "" });
  const until = make("input", { type: "date", id: "log-until", value: query.get("until") ?? "" });
  const fields = /** @type {Record<typeof WANTED[number], HTMLInputElement | HTMLSelectElement>} */ (
    /** @type {unknown} */ ({ search, kiln, cone, mode, since, until }));
  const kilnRow = make("div", { hidden: true }, make("label", { for: "log-kiln" }, logWords.search.kiln), kiln);
  /** @param {string} id @param {string} text @param {HTMLElement} field */
  const labelled = (id, text, field) => make("div", {}, make("label", { for: id }, text), field);
  const closer = make("details", { class: "more", open: WANTED.some((one) => one !== "search" && query.has(one)) },
    make("summary", {}, logWords.search.closer),
    make("div", { class: "log-fields" }, kilnRow,
      labelled("log-cone", logWords.search.cone, cone), labelled("log-mode", logWords.search.mode, mode),
      labelled("log-since", logWords.search.since, since), labelled("log-until", logWords.search.until, until)));
  fields.cone.value = query.get("cone") ?? "";
  fields.mode.value = query.get("mode") ?? "";
  let kilns = "";
  let wantedKiln = query.get("kiln") ?? "";
  kiln.addEventListener("change", () => { wantedKiln = fields.kiln.value; });

  /** @param {string[]} known */
  function offerKilns(known) {
    if (known.join("\n") === kilns) return;
    kilns = known.join("\n");
    kiln.replaceChildren(make("option", { value: "" }, logWords.search.any), ...known.map((one) => make("option", { value: one }, one)));
    fields.kiln.value = wantedKiln;
    kilnRow.hidden = known.length < 2;
  }

  function wanted() {
    /** @type {Record<string, string>} */
    const found = {};
    for (const name of WANTED) {
      const value = name === "kiln" ? wantedKiln : fields[name].value.trim();
      if (value) found[name] = value;
    }
    return found;
  }

  const form = make("form", { class: "log-search", role: "search" },
    make("label", { for: "log-search" }, logWords.search.words), search, closer);
  return { form, wanted, offerKilns };
}

/** What is ticked, and the way to the comparison, at the thumb. */
function compareBar() {
  /** @type {string[]} in the order of ticking: the first is the one that the others are held against */
  let chosen = [];
  const told = make("p", { role: "status" });
  const go = make("a", { class: "small log-go" }, logWords.compare.go);
  const clear = make("button", { type: "button", class: "small" }, logWords.compare.clear);
  const bar = make("div", { class: "log-bar", hidden: true }, told, make("div", { class: "log-buttons" }, go, clear));
  clear.addEventListener("click", () => {
    chosen = [];
    document.querySelectorAll(".log-list input:checked").forEach((tick) => { /** @type {HTMLInputElement} */ (tick).checked = false; });
    draw("");
  });

  /** @param {string} problem */
  function draw(problem) {
    bar.hidden = chosen.length === 0;
    go.hidden = chosen.length < 2;
    go.setAttribute("href", addressOf("log", null, { compare: chosen.join(",") }));
    say(told, problem || (chosen.length === 1 ? logWords.compare.oneMore : logWords.compare.chosen(String(chosen.length))));
  }

  return {
    bar,
    /** @param {string} id */
    has: (id) => chosen.includes(id),
    /** @param {string} id @param {boolean} isWanted @returns {boolean} whether it is chosen now */
    choose(id, isWanted) {
      const isFull = isWanted && chosen.length >= MOST_COMPARED;
      if (!isFull) chosen = isWanted ? [...chosen, id] : chosen.filter((one) => one !== id);
      draw(isFull ? logWords.compare.full(String(MOST_COMPARED)) : "");
      return isWanted && !isFull;
    },
  };
}
