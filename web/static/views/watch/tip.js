/**
 * A drawn cone whose tip is dragged to where the real one's is, by finger, mouse or arrow keys, to
 * the half hour of the clock's hand; a tap beside it sets it as well. Fetched when a look is first
 * entered. Knows where a tip can be, and nothing of what follows from it.
 */

import { angleOf, conePath, spine } from "../../cones.js";
import { make, makeSvg, say } from "../../dom.js";
import { style } from "../../styles.js";
import { words } from "../../words.js";

/**
 * @typedef {object} Dial
 * @property {HTMLElement} element
 * @property {(tip: string | null) => void} show a tip that was chosen elsewhere; null: none is yet
 */

/** From standing to lying, as the server spells them; half past twelve is how a cone leans anyway. */
const STOPS = ["upright", "1", "1:30", "2", "2:30", "3", "3:30", "4", "4:30", "5", "5:30", "just touching", "touching"];
/** One that lies is drawn, and dragged, this far below one that has just touched. */
const LYING_DEG = 97;
/** Room for a cone that bends to either side, and for the hours around it. */
const BOX = { x: -92, y: -104, width: 184, height: 124 };
/** Where a finger on the tip leaves it to be seen. */
const HOUR_AWAY = 24;
const HOURS = ["1", "2", "3", "4", "5"];
/** A finger that has moved less has tapped. */
const TAP_PX = 6;

/** @param {string} tip */
function drawnAt(tip) {
  return tip === "touching" ? LYING_DEG : angleOf(tip);
}

/** Where the tip is, on the drawing. @param {number} angleDeg */
function tipAt(angleDeg) {
  const line = spine(angleDeg);
  return line[line.length - 1];
}

/** @param {number} angleDeg @returns {number} the nearest of STOPS */
function stopNear(angleDeg) {
  const away = STOPS.map((tip) => Math.abs(drawnAt(tip) - angleDeg));
  return away.indexOf(Math.min(...away));
}

/**
 * @param {(tip: string) => void} onChosen as the server spells it
 * @returns {Promise<Dial>}
 */
export async function tipDial(onChosen) {
  await style("static/views/watch/tip.css");
  const body = makeSvg("path", { class: "cone-body" });
  const bending = makeSvg("g", {}, body);
  const hours = makeSvg("g", { class: "dial-hours" }, ...HOURS.map(hourMark));
  const picture = makeSvg("svg", { viewBox: `${BOX.x} ${BOX.y} ${BOX.width} ${BOX.height}`, "aria-hidden": "true" },
    hours, bending,
    makeSvg("rect", { class: "cone-clay", x: String(BOX.x), y: "-3", width: String(BOX.width), height: String(BOX.y + BOX.height + 3) }));
  const handle = make("div", {
    class: "dial-handle", role: "slider", tabindex: "0", "aria-labelledby": "look-tip-ask",
    "aria-valuemin": "0", "aria-valuemax": String(STOPS.length - 1),
  });
  const told = make("p", { class: "dial-told", "aria-hidden": "true" });
  const face = make("div", { class: "dial-face" }, picture, handle);
  const element = make("div", { class: "dial" }, face, told);
  let at = 0;
  let isChosen = false;
  /** 1: bends to the right, -1: to the left; only the eye's business. */
  let side = 1;
  /** @type {{id: number, offDeg: number, x: number, y: number, hasMoved: boolean} | null} */
  let grip = null;
  /** @type {{id: number, x: number, y: number} | null} */
  let tap = null;

  function draw() {
    const angle = drawnAt(STOPS[at]);
    body.setAttribute("d", conePath(angle));
    bending.setAttribute("transform", `scale(${side} 1)`);
    hours.setAttribute("transform", `scale(${side} 1)`);
    for (const hour of hours.querySelectorAll("text")) hour.setAttribute("transform", `scale(${side} 1)`);
    const { x, y } = tipAt(angle);
    handle.style.left = `${((side * x - BOX.x) / BOX.width) * 100}%`;
    handle.style.top = `${((y - BOX.y) / BOX.height) * 100}%`;
    const text = isChosen ? words.witness.tip(STOPS[at]) : words.witness.tipDrag;
    say(told, text);
    element.classList.toggle("dial-open", !isChosen);
    handle.setAttribute("aria-valuenow", String(at));
    handle.setAttribute("aria-valuetext", text);
  }

  /** @param {number} stop */
  function choose(stop) {
    at = Math.min(Math.max(stop, 0), STOPS.length - 1);
    isChosen = true;
    draw();
    onChosen(STOPS[at]);
  }

  /** Where a pointer is, seen from the cone's foot: to the right positive, 0 straight up. @param {PointerEvent} event */
  function angleOfPointer(event) {
    const seen = picture.getBoundingClientRect();
    const scale = BOX.width / seen.width;
    const x = (event.clientX - seen.left) * scale + BOX.x;
    const y = (event.clientY - seen.top) * scale + BOX.y;
    return (Math.atan2(x, -y) * 180) / Math.PI;
  }

  /** @param {number} angleDeg signed */
  function bend(angleDeg) {
    if (Math.abs(angleDeg) > 4) side = angleDeg < 0 ? -1 : 1;
    choose(stopNear(Math.abs(angleDeg)));
  }

  handle.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    handle.setPointerCapture(event.pointerId);
    const offDeg = side * drawnAt(STOPS[at]) - angleOfPointer(event);
    grip = { id: event.pointerId, offDeg, x: event.clientX, y: event.clientY, hasMoved: false };
  });
  handle.addEventListener("pointermove", (event) => {
    if (grip?.id !== event.pointerId) return;
    grip.hasMoved ||= Math.hypot(event.clientX - grip.x, event.clientY - grip.y) >= TAP_PX;
    if (!grip.hasMoved) return;
    // The tip follows from where it was gripped; on the other side there is no such place.
    const pointed = angleOfPointer(event);
    if (Math.sign(pointed + grip.offDeg) !== side) grip.offDeg = 0;
    bend(pointed + grip.offDeg);
  });
  handle.addEventListener("pointerup", (event) => {
    if (grip?.id === event.pointerId && !grip.hasMoved) choose(at);
  });
  handle.addEventListener("lostpointercapture", () => { grip = null; });
  // Told by itself: browsers give no click for the first tap after a drag.
  picture.addEventListener("pointerdown", ({ button, pointerId: id, clientX: x, clientY: y }) => {
    tap = button === 0 ? { id, x, y } : null;
  });
  picture.addEventListener("pointerup", (event) => {
    if (tap?.id !== event.pointerId) return;
    const far = Math.hypot(event.clientX - tap.x, event.clientY - tap.y);
    tap = null;
    if (far < TAP_PX) bend(angleOfPointer(event));
  });
  handle.addEventListener("keydown", (event) => {
    const by = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 2, PageDown: -2, " ": 0, Enter: 0, Home: -Infinity, End: Infinity }[event.key];
    if (by === undefined || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    choose(at + by);
  });
  draw();

  return {
    element,
    show(tip) {
      isChosen = tip !== null;
      at = Math.max(STOPS.indexOf(tip ?? STOPS[0]), 0);
      draw();
    },
  };
}

/** @param {string} hour */
function hourMark(hour) {
  const { x, y } = tipAt(angleOf(hour));
  const out = 1 + HOUR_AWAY / Math.hypot(x, y);
  const mark = makeSvg("g", { transform: `translate(${(x * out).toFixed(1)} ${(y * out).toFixed(1)})` });
  const text = makeSvg("text", { "text-anchor": "middle", dy: "3" });
  text.textContent = hour;
  mark.append(text);
  return mark;
}
