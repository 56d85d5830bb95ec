/**
 * The alarm that this phone sounds: what is worth a sound now, and the tones. A browser lets a page
 * sound only after a tap, while it is open and awake. Knows tones and verdicts, nothing of kilns.
 */

/** @typedef {import("./types.js").Snapshot} Snapshot */
/** @typedef {import("./types.js").Level} Level */
/** @typedef {"go" | "look" | "blind"} Alarm */

/** Again after so long, until somebody acknowledges; seconds. */
const EVERY_S = { go: 4, look: 20, blind: 12 };
/** Tones in hertz, one after the other; each alarm has a figure of its own. */
const TONES = {
  go: [880, 660, 880, 660, 880, 660],
  look: [660, 880],
  blind: [440, 330, 247],
  news: [784, 988],
};
const TONE_S = 0.22;
const LOUD = 0.7;

/**
 * @param {Level} level
 * @returns {Alarm | null}
 */
export function alarmOf(level) {
  return level === "go" || level === "look" || level === "blind" ? level : null;
}

/**
 * News that send a person to the kiln and that nobody has read: sounded once each.
 * @param {Snapshot | null} snapshot
 */
export function newsIn(snapshot) {
  return (snapshot?.alerts ?? [])
    .filter((alert) => alert.severity === "info" && alert.acknowledged_at === null)
    .map((alert) => alert.id);
}

export class Sounder {
  constructor() {
    /** @type {AudioContext | null} */
    this.audio = null;
    this.isOn = false;
    /** @type {Alarm | null} what has been silenced by hand, until it is over */
    this.silenced = null;
    /** @type {Alarm | null} */
    this.alarm = null;
    this.soundedMs = -Infinity;
    /** @type {Set<string> | null} null: what is old when the page opens is no news */
    this.heard = null;
  }

  /** To be called from a tap: that is what a browser takes for consent. */
  async turnOn() {
    this.isOn = true;
    await this.wake();
    this.play(TONES.news);
  }

  turnOff() {
    this.isOn = false;
    this.audio?.suspend();
  }

  async wake() {
    this.audio ??= new AudioContext();
    if (this.audio.state !== "running") await this.audio.resume().catch(() => undefined);
  }

  /** Whether it is wanted and the browser still waits for a tap. */
  get isAsleep() {
    return this.isOn && this.audio?.state !== "running";
  }

  /** Whether an alarm goes on that can only be silenced here. */
  get canSilence() {
    return this.isOn && this.alarm === "blind" && this.silenced === null;
  }

  silence() {
    this.silenced = this.alarm;
  }

  /**
   * Sound what is due; to be called once a second.
   * @param {Level} level
   * @param {Snapshot | null} snapshot
   * @param {number} nowMs of a steady clock
   */
  look(level, snapshot, nowMs) {
    const alarm = alarmOf(level);
    if (alarm !== this.alarm) [this.alarm, this.silenced, this.soundedMs] = [alarm, null, -Infinity];
    const news = newsIn(snapshot);
    const isNew = this.heard !== null && news.some((id) => !this.heard?.has(id));
    if (snapshot) this.heard = new Set([...(this.heard ?? []), ...news]);
    if (!this.isOn) return;
    if (alarm && alarm !== this.silenced) {
      if (nowMs - this.soundedMs < EVERY_S[alarm] * 1000) return;
      this.soundedMs = nowMs;
      this.play(TONES[alarm]);
    } else if (isNew) this.play(TONES.news);
  }

  /** @param {number[]} tones */
  play(tones) {
    const { audio } = this;
    if (!audio || audio.state !== "running") return;
    tones.forEach((hertz, index) => {
      const at = audio.currentTime + index * TONE_S;
      const tone = audio.createOscillator();
      const loud = audio.createGain();
      tone.type = "square";
      tone.frequency.value = hertz;
      loud.gain.setValueAtTime(0, at);
      loud.gain.linearRampToValueAtTime(LOUD, at + 0.02);
      loud.gain.setValueAtTime(LOUD, at + TONE_S - 0.04);
      loud.gain.linearRampToValueAtTime(0, at + TONE_S);
      tone.connect(loud).connect(audio.destination);
      tone.start(at);
      tone.stop(at + TONE_S);
    });
  }
}
