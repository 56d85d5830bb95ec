/**
 * What fingers do on the chart: two stretch time, one moves it sideways once it is stretched. Up
 * and down stays the page's own scrolling. Knows touches and views, nothing of what is drawn.
 */

/** @typedef {{min: number, max: number}} View elapsed seconds */

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
    if (event.pointerType === "mouse") return;
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
  /** @param {PointerEvent} event */
  const release = (event) => {
    fingers.delete(event.pointerId);
    takeGrip();
  };
  over.addEventListener("pointerup", release);
  over.addEventListener("pointercancel", release);
}
