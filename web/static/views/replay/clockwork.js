/**
 * The time of a film: it runs at a speed while it plays, and can be set. Knows frames of the screen
 * and elapsed seconds, nothing of what is shown.
 */

/** A tab that was asleep goes on from where it stopped, not from where it would be. */
const LONGEST_STEP_S = 0.5;

export class Clockwork {
  /**
   * @param {number} fromS
   * @param {number} toS
   * @param {() => void} onTick called when the time or the state has changed
   * @param {AbortSignal} signal
   */
  constructor(fromS, toS, onTick, signal) {
    this.fromS = fromS;
    this.toS = toS;
    this.atS = fromS;
    this.speed = 1;
    this.isPlaying = false;
    this.onTick = onTick;
    this.lastMs = 0;
    this.frame = 0;
    signal.addEventListener("abort", () => this.pause());
  }

  play() {
    if (this.isPlaying) return;
    if (this.atS >= this.toS) this.atS = this.fromS;
    this.isPlaying = true;
    this.lastMs = performance.now();
    this.frame = requestAnimationFrame((now) => this.step(now));
    this.onTick();
  }

  pause() {
    cancelAnimationFrame(this.frame);
    if (!this.isPlaying) return;
    this.isPlaying = false;
    this.onTick();
  }

  /** @param {number} atS */
  set(atS) {
    this.atS = Math.min(Math.max(atS, this.fromS), this.toS);
    this.onTick();
  }

  /** @param {number} nowMs */
  step(nowMs) {
    const passedS = Math.min(Math.max((nowMs - this.lastMs) / 1000, 0), LONGEST_STEP_S);
    this.lastMs = nowMs;
    this.atS = Math.min(this.atS + passedS * this.speed, this.toS);
    if (this.atS >= this.toS) {
      this.pause();
      return;
    }
    this.onTick();
    if (this.isPlaying) this.frame = requestAnimationFrame((now) => this.step(now));
  }
}

/**
 * Place of the last of `items` that is not later than `atS`, -1 before the first.
 * @param {{elapsed_s: number}[]} items in the order of time
 * @param {number} atS
 */
export function placeAt(items, atS) {
  let low = 0;
  let high = items.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (items[middle].elapsed_s <= atS) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}
