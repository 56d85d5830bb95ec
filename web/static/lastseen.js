/**
 * The last state that this phone saw, for times without a link: kept in the browser, with when it
 * was heard. It is shown only as what it is, and never instead of what the link brings.
 */

/** @typedef {import("./types.js").Snapshot} Snapshot */
/** @typedef {{snapshot: Snapshot, ageS: number | null, wallMs: number}} LastSeen */

const KEY = "spyhole.last";
/** The shape of a snapshot may change with the program: what another one kept is not shown. */
const SHAPE = 1;
const EVERY_MS = 20_000;

let keptMs = -Infinity;

/**
 * @param {Snapshot} snapshot
 * @param {number | null} ageS of its reading now
 */
export function keepLast(snapshot, ageS) {
  const now = performance.now();
  if (now - keptMs < EVERY_MS) return;
  keptMs = now;
  try {
    localStorage.setItem(KEY, JSON.stringify({ shape: SHAPE, snapshot, ageS, wallMs: Date.now() }));
  } catch {
    // A browser that keeps nothing has nothing to show later.
  }
}

/** @returns {LastSeen | null} */
export function lastSeen() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEY) ?? "null");
    return kept?.shape === SHAPE ? kept : null;
  } catch {
    return null;
  }
}

/** To be called when who looks may no longer see. */
export function forgetLast() {
  keptMs = -Infinity;
  try {
    localStorage.removeItem(KEY);
  } catch {
    // Nothing was kept.
  }
}
