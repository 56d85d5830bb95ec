/**
 * Who is signed in: a line at the foot of the page, and the PIN asked for where something is refused
 * without it.
 */

import { byId, make, say, sayWhy } from "./dom.js";
import { forgetLast } from "./lastseen.js";
import { send } from "./send.js";
import { showDuration } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").SessionState} SessionState */

/** How often it is asked why nothing comes any more. */
const ASK_AGAIN_MS = 5000;
/** And so often what stands at the foot of the page, while it is in sight: a PIN is set elsewhere. */
const LOOK_AGAIN_MS = 60_000;

/** @type {SessionState | null} as the server told it last */
let session = null;
/** @type {Promise<boolean> | null} while the sheet is open */
let asking = null;
let hasSignedIn = () => {};

/**
 * Let the page ask for the PIN where it is wanted.
 * @param {import("./live.js").Live} live
 */
export function keepSession(live) {
  byId("session").replaceChildren(make("span", { id: "session-state" }), make("span", { id: "session-buttons" }));
  hasSignedIn = () => live.retry();
  let askedAt = -Infinity;
  let inSight = false;
  /** @type {import("./types.js").LinkState} */
  let heard = "connecting";
  const look = async () => {
    askedAt = performance.now();
    await refresh();
    if (!session || session.may_read) return;
    forgetLast();
    askForPin();
  };
  live.listen({
    onAge() {
      // A stream does not say why it is refused; whoever may not read any more is asked for the PIN.
      const isNews = live.link === "signed_out" && heard !== "signed_out";
      heard = live.link;
      const hearsNothing = live.link === "lost" || live.link === "signed_out";
      const sinceMs = performance.now() - askedAt;
      const isDue = (hearsNothing || session === null) && (isNews || sinceMs > ASK_AGAIN_MS);
      const isOld = inSight && !document.hidden && sinceMs > LOOK_AGAIN_MS;
      if (asking === null && (isDue || isOld)) look();
    },
  });
  new IntersectionObserver((seen) => {
    inSight = seen[seen.length - 1].isIntersecting;
    if (inSight && session !== null && asking === null) look();
  }).observe(byId("session"));
  look();
}

async function refresh() {
  try {
    session = await send("api/session");
  } catch {
    return; // no link: what was known stays
  }
  showState();
}

/** Ask for name and PIN; one sheet for all that wait for it. @returns {Promise<boolean>} whether the person signed in */
export function askForPin() {
  asking ??= signIn().finally(() => {
    asking = null;
  });
  return asking;
}

async function signIn() {
  const [sheet] = await Promise.all([import("./signin.js").catch(() => null), refresh()]);
  const begun = sheet ? await sheet.openSheet(session) : null;
  if (begun) {
    session = begun;
    hasSignedIn();
  }
  showState();
  return begun !== null;
}

/** The line at the foot of the page: who is signed in here, and what they can do about it. */
function showState() {
  if (!session) return;
  const state = byId("session-state");
  const buttons = byId("session-buttons");
  if (session.signed_in) {
    say(state, words.signIn.signedIn(session.name ?? "", showDuration(session.left_s ?? 0)));
    buttons.replaceChildren(
      button("sign-out", words.signIn.out, () => signOut(false)),
      button("sign-out-all", words.signIn.outEverywhere, () => signOut(true)));
  } else if (session.may_write) {
    say(state, words.signIn.here);
    buttons.replaceChildren();
  } else if (session.pin === "set") {
    say(state, words.signIn.signedOut);
    buttons.replaceChildren(button("sign-in", words.signIn.enter, () => askForPin()));
  } else {
    say(state, session.pin === "none" ? words.signIn.noPin(session.how_to_set ?? "") : words.signIn.unreadable(session.how_to_set ?? ""));
    buttons.replaceChildren();
  }
}

/** @param {string} id @param {string} text @param {() => void} act */
function button(id, text, act) {
  const made = make("button", { type: "button", class: "small", id }, text);
  made.addEventListener("click", act);
  return made;
}

/** @param {boolean} everywhere */
async function signOut(everywhere) {
  try {
    await send("api/session/end", { everywhere });
  } catch (error) {
    sayWhy(byId("session-state"), error, words.signIn.notOut);
    return;
  }
  // What only those who know the PIN may read does not stay on the screen.
  if (session?.reading === "pin") location.reload();
  await refresh();
}
