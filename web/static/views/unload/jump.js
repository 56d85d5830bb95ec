/** From one part of the view to another: the page is long, and the thumb is busy. */

/** @param {string} id of a section, whose heading then has the focus */
export function jumpTo(id) {
  const section = document.getElementById(id);
  if (!section) return; // It is on its way.
  section.scrollIntoView();
  /** @type {HTMLElement} */ (section.querySelector("h2")).focus({ preventScroll: true });
}
