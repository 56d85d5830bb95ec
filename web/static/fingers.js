/**
 * What fingers do on the chart: two stretch time, one moves it sideways once it is stretched, and so
 * does a mouse; a touch pad's pinch stretches too. Up and down stays the page's own scrolling.
 * Knows touches and views, nothing of what is drawn.
 */

/** @typedef {{min: number, max: number}} View elapsed seconds */

/** How far a pinch on a touch pad goes for one e-fold of time. */
const WHEEL = 120;

/**
 * @param {HTMLElement} over what lies over the drawing and takes the touches
 * @param {() => View | null} view the view as it is, null for the whole firing
 * @param {() => View} whole
 * @param {(view: View) => void} setView
 */
export function listenToFingers(over, view, whole, setView) {
  /** @type {Map<number, number>} x by finger */
  const fingers = new Map();
  /** @type {{view: View, anchors: number[]} | null} */
  let grip = null;
  const takeGrip = () => {
    const held = { ...(view() ?? whole()) };
    const { left, width } = over.getBoundingClientRect();
    const anchors = [...fingers.values()].map(
      (x) => held.min + ((x - left) / width) * (held.max - held.min));
    grip = fingers.size ? { view: held, anchors } : null;
  };
  over.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse") {
      if (!view() || event.button !== 0) return;
      over.setPointerCapture(event.pointerId);
    }
    fingers.set(event.pointerId, event.clientX);
    takeGrip();
  });
  over.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId) || !grip) return;
    fingers.set(event.pointerId, event.clientX);
    const { left, width } = over.getBoundingClientRect();
    const shares = [...fingers.values()].map((x) => (x - left) / width);
    if (shares.length === 2) {
      const apart = shares[1] - shares[0];
      if (Math.abs(apart) < 0.02) return;
      const span = (grip.anchors[1] - grip.anchors[0]) / apart;
      if (span <= 0) return;
      const min = grip.anchors[0] - shares[0] * span;
      setView({ min, max: min + span });
    } else if (shares.length === 1 && view()) {
      const span = grip.view.max - grip.view.min;
      const min = grip.anchors[0] - shares[0] * span;
      setView({ min, max: min + span });
    }
  });
  // A touch pad's pinch comes as a wheel with the control key, in every browser.
  over.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const held = view() ?? whole();
    const { left, width } = over.getBoundingClientRect();
    const share = (event.clientX - left) / width;
    const span = (held.max - held.min) * Math.exp(event.deltaY / WHEEL);
    const min = held.min + share * (held.max - held.min) - share * span;
    setView({ min, max: min + span });
  }, { passive: false });
  /** @param {PointerEvent} event */
  const release = (event) => {
    fingers.delete(event.pointerId);
    takeGrip();
  };
  over.addEventListener("pointerup", release);
  over.addEventListener("pointercancel", release);
}
