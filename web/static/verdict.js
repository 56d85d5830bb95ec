/**
 * Is it fine, and if not, what do I go and look at? One answer from all the page knows: a lost
 * link first, for then nothing else is known; then readings that have stopped; then alerts.
 */

import { sentenceOf } from "./sentence.js";
import { HOT_C, dayAndClock, showDuration, showElapsed } from "./units.js";
import { words } from "./words.js";

/**
 * @param {import("./types.js").Snapshot | null} snapshot the latest, of whatever age
 * @param {import("./types.js").LinkState} link
 * @param {number | null} ageS real seconds since the latest reading, by the phone's clock
 * @param {import("./types.js").Unit} unit
 * @returns {import("./types.js").Verdict}
 */
export function judge(snapshot, link, ageS, unit) {
  const sentence = snapshot ? sentenceOf(snapshot, unit) : "";
  const lastKnown = sentence ? words.lastKnown(sentence) : null;
  const age = ageS === null ? null : showDuration(ageS);

  if (link === "stopped") {
    return { level: "blind", title: words.verdict.stopped, sentence: words.stopped, lastKnown };
  }
  if (link === "signed_out") {
    return { level: "blind", title: words.verdict.signedOut, sentence: words.signIn.toRead, lastKnown: null };
  }
  if (link === "lost") {
    const seen = age === null ? words.lostNever : words.lostAge(age, dayAndClock(snapshot?.time ?? null) ?? showElapsed(snapshot?.elapsed_s ?? 0));
    return { level: "blind", title: words.verdict.lost, sentence: words.lost(seen), lastKnown };
  }
  if (!snapshot) {
    return { level: "waiting", ...words.looking, lastKnown: null };
  }
  if (isStale(snapshot, ageS)) {
    const why = age === null ? words.staleNever : words.stale(age);
    return { level: "blind", title: words.verdict.stale, sentence: why, lastKnown };
  }
  const level = levelOf(snapshot);
  return { level, title: words.verdict[level], sentence, lastKnown: null };
}

/**
 * @param {import("./types.js").Snapshot} snapshot
 * @param {number | null} ageS
 */
export function isStale(snapshot, ageS) {
  return snapshot.stale || (ageS !== null && ageS > snapshot.stale_after_s);
}

/**
 * @param {import("./types.js").Snapshot} snapshot
 * @returns {"go" | "look" | "seen" | "waiting" | "cooling" | "finished" | "closed" | "fine"}
 */
function levelOf(snapshot) {
  const troubles = snapshot.alerts.filter((alert) => alert.severity !== "info");
  const unseen = troubles.filter((alert) => alert.acknowledged_at === null);
  if (unseen.some((alert) => alert.severity === "critical")) return "go";
  if (unseen.length) return "look";
  if (troubles.length) return "seen";
  if (!snapshot.firing || snapshot.firing.state === "waiting") return "waiting";
  if (snapshot.plan?.activity === "finished") return isHot(snapshot) ? "cooling" : "finished";
  return snapshot.firing.state === "finished" ? "closed" : "fine";
}

/**
 * Whether any channel is hot, or none tells: what can't be seen is not called cool.
 * @param {import("./types.js").Snapshot} snapshot
 */
function isHot({ channels }) {
  const known = channels.flatMap(({ temp_c: temp }) => (temp === null ? [] : [temp]));
  return known.length === 0 || Math.max(...known) > HOT_C;
}
