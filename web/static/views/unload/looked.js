/**
 * What the server says of the firing's ticks and of the next firing: asked for anew whenever
 * something was told, one question at a time, and in the scale that is shown.
 */

import { askTraced, keepTraced } from "./asking.js";

/** @typedef {import("./asking.js").TracedFiring} TracedFiring */
/** @typedef {{onLooking?: () => void, onTraced: (traced: TracedFiring) => void, onFailed?: (why: unknown) => void}} Listener */

/** Several taps in a row are asked about once. */
const WAIT_MS = 400;

export class Looked {
  /**
   * @param {string} id the firing's
   * @param {import("../../live.js").Live} live
   * @param {AbortSignal} signal
   */
  constructor(id, live, signal) {
    this.id = id;
    this.live = live;
    this.signal = signal;
    /** @type {Listener[]} */
    this.listeners = [];
    /** @type {TracedFiring | null} */
    this.latest = null;
    this.asked = 0;
    this.timer = 0;
    /** Whether what the ticks are traced to is to be kept: they were changed here. */
    this.isToKeep = false;
    let unit = live.unit();
    live.listen({
      onSnapshot: () => {
        if (live.unit() === unit) return;
        unit = live.unit();
        this.look();
      },
    }, signal);
    signal.addEventListener("abort", () => clearTimeout(this.timer));
  }

  /** @param {Listener} listener */
  listen(listener) {
    this.listeners.push(listener);
  }

  /** Ticks were written, or cones. @param {boolean} ticks */
  told(ticks) {
    this.isToKeep ||= ticks;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.look(), WAIT_MS);
  }

  /** Ask; only the latest answer counts. */
  async look() {
    this.asked += 1;
    const now = this.asked;
    for (const listener of this.listeners) listener.onLooking?.();
    try {
      const traced = await askTraced(this.id, this.live.unit(), this.signal);
      if (this.signal.aborted || now !== this.asked) return;
      this.latest = traced;
      for (const listener of this.listeners) listener.onTraced(traced);
    } catch (error) {
      if (this.signal.aborted || now !== this.asked) return;
      for (const listener of this.listeners) listener.onFailed?.(error);
      return;
    }
    if (!this.isToKeep) return;
    this.isToKeep = false;
    // The ticks are kept already; this only says beside them what came of them.
    keepTraced(this.id).catch(() => { this.isToKeep = true; });
  }
}
