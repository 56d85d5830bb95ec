/**
 * What this phone does besides showing: sound an alarm, keep its screen on, keep the page for times
 * without a link. Fetched once the first view stands. What a browser does not allow is said.
 */

import { byId, say } from "./dom.js";
import { forgetting, remembering } from "./settings.js";
import { Sounder } from "./sound.js";
import { words } from "./words.js";

/** @param {import("./live.js").Live} live */
export function phone(live) {
  sound(live);
  screen();
  // Without https there is none; then the page needs the link, as any page does.
  navigator.serviceWorker?.register("sw.js").catch(() => undefined);
}

/** @param {import("./live.js").Live} live */
function sound(live) {
  const sounder = new Sounder();
  const asleep = byId("sound-asleep");
  const silence = byId("silence");
  const show = () => {
    press("sound", sounder.isOn);
    asleep.hidden = !sounder.isAsleep;
    silence.hidden = !sounder.canSilence;
  };
  for (const button of ["sound-on", "sound-off"]) byId(button).removeAttribute("disabled");
  byId("sound-on").addEventListener("click", async () => {
    await sounder.turnOn();
    remembering("sound");
    show();
  });
  byId("sound-off").addEventListener("click", () => {
    sounder.turnOff();
    forgetting("sound");
    show();
  });
  silence.addEventListener("click", () => {
    sounder.silence();
    show();
  });
  // Chosen at an earlier visit: any tap on the page is enough for the browser.
  document.addEventListener("pointerdown", async () => {
    if (!sounder.isAsleep) return;
    await sounder.wake();
    show();
  });
  if (remembering("sound", false)) {
    sounder.isOn = true;
    sounder.wake().then(show);
  }
  live.listen({
    onAge() {
      sounder.look(live.verdict().level, live.snapshot, performance.now());
      show();
    },
  });
}

function screen() {
  const note = byId("screen-note");
  const lock = /** @type {WakeLock | undefined} */ (navigator.wakeLock);
  say(note, lock ? "" : words.footer.screenNot);
  for (const button of ["screen-on", "screen-off"]) byId(button).toggleAttribute("disabled", !lock);
  if (!lock) return;
  /** @type {WakeLockSentinel | null} */
  let held = null;
  let isWanted = remembering("screen", false);
  const take = async () => {
    if (!isWanted || held || document.visibilityState !== "visible") return show();
    try {
      held = await lock.request("screen");
      held.addEventListener("release", () => {
        held = null;
        show();
      });
      say(note, "");
    } catch {
      say(note, words.footer.screenRefused); // a battery that is low, say
    }
    show();
  };
  const show = () => press("screen", isWanted);
  byId("screen-on").addEventListener("click", () => {
    isWanted = true;
    remembering("screen");
    take();
  });
  byId("screen-off").addEventListener("click", () => {
    isWanted = false;
    forgetting("screen");
    held?.release();
    say(note, "");
    show();
  });
  // A browser lets go whenever the page is out of sight.
  document.addEventListener("visibilitychange", take);
  take();
}

/** @param {string} what @param {boolean} isOn */
function press(what, isOn) {
  byId(`${what}-on`).setAttribute("aria-pressed", String(isOn));
  byId(`${what}-off`).setAttribute("aria-pressed", String(!isOn));
}
