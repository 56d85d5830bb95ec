/**
 * What is wrong with the ware: defects to tap, and of those that are ticked how much and where. Each
 * tap is written at once. Knows taps and words, no causes.
 */

import { make, say, sayWhy } from "../../dom.js";
import { sendFindings } from "./asking.js";
import { jumpTo } from "./jump.js";
import { words } from "./words.js";

/** @typedef {import("./asking.js").Finding} Finding */

/** Every defect, in the groups that a potter looks for. */
export const GROUPS = /** @type {const} */ ({
  glaze: ["crazing", "pinholes", "blisters", "crawling", "running", "shivering", "too-glossy", "too-dull"],
  colour: ["uneven-colour", "faded-colour", "weak-reduction", "carbon-trapped"],
  heat: ["underfired", "overfired", "warping", "bloating", "black-core"],
  broken: ["dunting", "heating-cracks", "blown-ware", "cracked-shelf"],
});
const LEVELS = /** @type {const} */ ([1, 2, 3]);
const MOST_LEVEL = 3;

/**
 * @param {import("./asking.js").Unloading} unloading
 * @param {import("./looked.js").Looked} looked
 */
export function wareSection({ firing, found }, looked) {
  /** What stands, as far as it is known here. */
  let standing = found.map(({ key, place, level, text }) => ({ key, place, level, text }));
  /** Writes one after the other, in the order of the taps. */
  let writing = Promise.resolve();
  const answer = make("p", { class: "note-answer", role: "status" });
  /** @type {Map<string, HTMLElement>} */
  const chips = new Map();
  const details = make("div", { class: "ware-details" });
  const causes = make("button", { type: "button", class: "small", hidden: true });
  causes.addEventListener("click", () => jumpTo("unload-traced"));
  looked.listen({
    onLooking() {
      causes.hidden = true;
    },
    onTraced(traced) {
      const count = traced.defects.flatMap((one) => one.causes).filter(({ verdict }) => verdict === "supported").length;
      causes.hidden = !traced.defects.length;
      say(causes, words.ware.causes(count));
    },
  });
  const groups = Object.entries(GROUPS).map(([group, keys]) =>
    make("div", { role: "group", "aria-labelledby": `ware-${group}` },
      make("h3", { id: `ware-${group}` }, words.ware.groups[/** @type {keyof typeof GROUPS} */ (group)]),
      make("div", { class: "ware-chips" }, ...keys.map(chip))));
  const section = make("section", { id: "unload-ware", class: "panel", "aria-labelledby": "ware-heading" },
    make("h2", { id: "ware-heading", tabindex: "-1" }, words.ware.heading),
    make("p", { class: "small-print" }, words.ware.hint),
    ...groups, answer, details, make("div", { class: "unload-on" }, causes));
  draw();
  return section;

  /** @param {string} key */
  function chip(key) {
    const button = make("button", { type: "button", class: "ware-chip", "aria-pressed": "false", title: words.looks[key] },
      words.chips[key] ?? words.defects[key]);
    button.addEventListener("click", () => {
      const places = standing.filter((one) => one.key === key);
      write(places.length ? places.map(({ place }) => finding(key, place, 0)) : [finding(key, "", 1)]);
    });
    chips.set(key, button);
    return button;
  }

  /**
   * Show it at once, and write it; what is not taken is shown as it was.
   * @param {Finding[]} changes
   */
  function write(changes) {
    /** @param {Finding} one */
    const isMeant = (one) => changes.some(({ key, place }) => key === one.key && place === one.place);
    const before = standing.filter(isMeant);
    standing = [...standing.filter((one) => !isMeant(one)), ...changes.filter(({ level }) => level > 0)];
    draw();
    say(answer, words.saving);
    writing = writing.then(async () => {
      try {
        const told = await sendFindings(firing.id, changes);
        say(answer, "accepted" in told ? told.message : words.saved);
        looked.told(true);
      } catch (error) {
        standing = [...standing.filter((one) => !isMeant(one)), ...before];
        draw();
        sayWhy(answer, error, words.failed);
      }
    });
  }

  function draw() {
    for (const [key, button] of chips) {
      button.setAttribute("aria-pressed", String(standing.some((one) => one.key === key)));
    }
    const focused = /** @type {HTMLElement | null} */ (document.activeElement)?.dataset.mark;
    const ticked = [...chips.keys()].filter((key) => standing.some((one) => one.key === key));
    const others = standing.filter(({ key }) => !chips.has(key));
    details.replaceChildren(
      ...(ticked.length ? [make("h3", {}, words.ware.ticked)] : []),
      ...ticked.map(detail),
      ...(others.length ? [make("p", { class: "small-print" }, `${words.ware.unknown}: ${others.map(({ key }) => key).join(", ")}`)] : []));
    if (focused) details.querySelector(`[data-mark="${CSS.escape(focused)}"]`)?.dispatchEvent(new Event("focus-again"));
  }

  /** @param {string} key */
  function detail(key) {
    const title = words.defects[key];
    const rows = standing.filter((one) => one.key === key).sort((a, b) => a.place.localeCompare(b.place));
    return make("div", { class: "ware-detail" },
      make("p", { class: "ware-title" }, make("strong", {}, title)),
      make("p", { class: "small-print" }, words.ware.looks(words.looks[key])),
      ...rows.map((row) => amount(row, title, rows.length)),
      where(key, title, rows));
  }

  /** How much of it at one place. @param {Finding} row @param {string} title @param {number} rows */
  function amount(row, title, rows) {
    const place = row.place || words.ware.whole;
    return make("div", { class: "ware-amount", role: "group", "aria-label": words.ware.levelOf(title, place) },
      make("span", { class: "ware-place" }, place),
      ...LEVELS.map((level) => {
        const isSo = level === Math.min(row.level, MOST_LEVEL);
        return again(make("button", { type: "button", class: "ware-level", "aria-pressed": String(isSo) }, words.ware.level[level]),
          `${row.key}|${row.place}|${level}`, () => { if (!isSo) write([{ ...row, level }]); });
      }),
      rows > 1
        ? again(make("button", { type: "button", class: "ware-level", "aria-label": words.ware.removeOf(title, place) }, words.ware.remove),
          `${row.key}|${row.place}|0`, () => write([{ ...row, level: 0 }]))
        : null);
  }

  /** Places to tap, and one's own words. @param {string} key @param {string} title @param {Finding[]} rows */
  function where(key, title, rows) {
    const known = new Set([...firing.channels, ...standing.map(({ place }) => place)]);
    for (const one of ["", ...rows.map(({ place }) => place)]) known.delete(one);
    const typed = /** @type {HTMLInputElement} */ (make("input", { type: "text", maxlength: "60", autocomplete: "off", "aria-label": `${words.ware.whereOf(title)}, ${words.ware.other}`, placeholder: words.ware.other }));
    const form = make("form", { class: "ware-where" },
      make("span", { class: "ware-ask" }, words.ware.where),
      ...[...known].map((place) => again(make("button", { type: "button", class: "quick", "aria-label": `${words.ware.whereOf(title)}: ${place}` }, place),
        `${key}|+${place}`, () => at(key, place, rows))),
      typed,
      make("button", { type: "submit", class: "quick", "aria-label": words.ware.addTo(title) }, words.ware.add));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (typed.value.trim()) at(key, typed.value.trim(), rows);
    });
    return form;
  }

  /** It is at this place: no longer in the whole load. @param {string} key @param {string} place @param {Finding[]} rows */
  function at(key, place, rows) {
    const whole = rows.find((one) => one.place === "");
    write([...(whole ? [finding(key, "", 0)] : []), finding(key, place, whole?.level ?? rows[0]?.level ?? 1)]);
  }
}

/** @param {string} key @param {string} place @param {number} level @returns {Finding} */
function finding(key, place, level) {
  return { key, place, level, text: null };
}

/**
 * A button that is drawn anew by its own tap keeps the focus.
 * @param {HTMLElement} button @param {string} mark @param {() => void} tapped
 */
function again(button, mark, tapped) {
  button.dataset.mark = mark;
  button.addEventListener("click", tapped);
  button.addEventListener("focus-again", () => button.focus({ preventScroll: true }));
  return button;
}
