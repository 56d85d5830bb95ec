/**
 * What every view may know of the running firing: the latest snapshot, how old its reading is by
 * this phone's own clock, whatever the network does, and the scale that is shown here.
 */

import { forgetLast, keepLast, lastSeen } from "./lastseen.js";
import { chosenUnit, rememberUnit } from "./settings.js";
import { Link } from "./stream.js";
import { judge } from "./verdict.js";

/** @typedef {import("./types.js").Snapshot} Snapshot */
/** @typedef {import("./types.js").Unit} Unit */
/** @typedef {import("./types.js").LiveListener} LiveListener */

const LOOK_EVERY_MS = 1000;

export class Live {
  constructor() {
    /** @type {Snapshot | null} */
    this.snapshot = null;
    /** @type {import("./types.js").LinkState} */
    this.link = "connecting";
    /** Age of the reading when it was told, and this phone's two clocks at that moment. */
    this.told = { ageS: /** @type {number | null} */ (null), steadyMs: 0, wallMs: 0 };
    /** The scale chosen on this phone; null: the kiln's owner's. */
    this.chosenUnit = chosenUnit();
    /** @type {Set<LiveListener>} */
    this.listeners = new Set();
    /** @type {Link | null} */
    this.stream = null;
  }

  /** @param {string} address of the stream */
  start(address) {
    this.stream = new Link(address, {
      onSnapshot: (snapshot) => this.take(snapshot),
      onChanges: (changes) => {
        if (this.snapshot) this.take({ ...this.snapshot, ...changes });
      },
      onPoints: (points) => this.tell("onPoints", points),
      onBeat: (beat) => {
        this.hear(beat.reading_age_s);
        this.tell("onAge");
      },
      onOpen: () => this.tell("onOpen"),
      onState: (state) => {
        this.link = state;
        if (state === "signed_out") forgetLast();
        if (state === "lost" && !this.snapshot) this.showLast();
        this.tell("onAge");
      },
    });
    setInterval(() => this.tell("onAge"), LOOK_EVERY_MS);
  }

  /** There may be a link again by now: try it without waiting for the next try's time. */
  retry() {
    this.stream?.wake();
  }

  /** @param {Snapshot} snapshot */
  take(snapshot) {
    this.snapshot = snapshot;
    this.hear(snapshot.reading_age_s);
    keepLast(snapshot, this.ageS());
    this.tell("onSnapshot", snapshot);
    this.tell("onAge");
  }

  /** There is no link, and has been none since the page was opened: what was seen last time. */
  showLast() {
    const last = lastSeen();
    if (!last) return;
    this.snapshot = last.snapshot;
    this.told = { ageS: last.ageS, steadyMs: performance.now(), wallMs: last.wallMs };
    this.tell("onSnapshot", last.snapshot);
  }

  /**
   * Hear what comes until the signal; what is known already is told at once.
   * @param {LiveListener} listener
   * @param {AbortSignal} [signal]
   */
  listen(listener, signal) {
    if (signal?.aborted) return;
    this.listeners.add(listener);
    signal?.addEventListener("abort", () => this.listeners.delete(listener));
    if (this.snapshot) listener.onSnapshot?.(this.snapshot);
    listener.onAge?.();
  }

  /**
   * @template {keyof LiveListener} K
   * @param {K} what
   * @param {...any} news
   */
  tell(what, ...news) {
    for (const listener of [...this.listeners]) {
      /** @type {((...news: any[]) => void) | undefined} */ (listener[what])?.(...news);
    }
  }

  /** @param {number | null} ageS */
  hear(ageS) {
    this.told = { ageS, steadyMs: performance.now(), wallMs: Date.now() };
  }

  /**
   * Real seconds since the latest reading. The steady clock may stop while the phone sleeps and the
   * wall clock may be set back, so the greater of the two counts.
   */
  ageS() {
    const { ageS, steadyMs, wallMs } = this.told;
    if (ageS === null) return null;
    return ageS + Math.max(performance.now() - steadyMs, Date.now() - wallMs) / 1000;
  }

  verdict() {
    return judge(this.snapshot, this.link, this.ageS(), this.unit());
  }

  /** @returns {Unit} */
  unit() {
    return this.chosenUnit ?? this.snapshot?.units ?? "C";
  }

  /** @param {Unit} unit */
  chooseUnit(unit) {
    this.chosenUnit = unit;
    rememberUnit(unit);
    this.showAnew();
  }

  /** Tell what is known once more: it is to be shown otherwise. */
  showAnew() {
    if (this.snapshot) this.tell("onSnapshot", this.snapshot);
    this.tell("onAge");
  }
}
