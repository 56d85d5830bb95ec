/**
 * Signing in and out: a sheet that asks for name and PIN when something is refused without them, and
 * a line at the foot of the page. Remembers the name on this phone, the PIN nowhere.
 */

import { byId, make, say, sayWhy } from "./dom.js";
import { forgetLast } from "./lastseen.js";
import { Refused, send } from "./send.js";
import { style } from "./styles.js";
import { showDuration } from "./units.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").SessionState} SessionState */

const NAME_KEY = "spyhole.name";
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
export function signIn(live) {
  style("static/signin.css");
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

/** Ask for name and PIN; one sheet for all that wait for it. */
export function askForPin() {
  asking ??= openSheet().finally(() => {
    asking = null;
  });
  return asking;
}

/** @returns {Promise<boolean>} whether the person signed in */
async function openSheet() {
  await Promise.all([refresh(), style("static/signin.css")]);
  const mayRead = session?.may_read ?? true;
  const name = /** @type {HTMLInputElement} */ (
    make("input", { id: "sign-name", type: "text", autocomplete: "username", maxlength: "60", required: true }));
  const pin = /** @type {HTMLInputElement} */ (
    make("input", { id: "sign-pin", type: "password", autocomplete: "current-password", maxlength: "64", required: true }));
  if (session?.pin_is_digits) pin.inputMode = "numeric";
  name.value = rememberedName();
  const problem = make("p", { id: "sign-problem", class: "problem", role: "alert" });
  const enter = make("button", { type: "submit", class: "small" }, words.signIn.enter);
  const leave = make("button", { type: "button", class: "small" }, words.signIn.leave);
  const form = make("form", {},
    make("h2", { id: "sign-heading" }, words.signIn.heading),
    make("p", {}, mayRead ? words.signIn.toWrite : words.signIn.toRead),
    make("label", { for: "sign-name" }, words.signIn.name), name,
    make("label", { for: "sign-pin" }, words.signIn.pin), pin,
    problem,
    make("div", { class: "sheet-buttons" }, mayRead ? leave : null, enter));
  const sheet = /** @type {HTMLDialogElement} */ (
    make("dialog", { class: "sheet", "aria-labelledby": "sign-heading" }, form));
  document.body.append(sheet);
  let timer = 0;
  const isIn = await new Promise((resolve) => {
    leave.addEventListener("click", () => resolve(false));
    // A browser lets nothing keep a sheet open against a second Escape; it opens again then.
    sheet.addEventListener("close", () => {
      if (mayRead) resolve(false);
      else if (sheet.isConnected) sheet.showModal();
    });
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      enter.setAttribute("disabled", "");
      say(problem, "");
      try {
        session = await send("api/session/begin", { name: name.value, pin: pin.value });
        remember(name.value.trim());
        hasSignedIn();
        resolve(true);
      } catch (error) {
        pin.value = "";
        const waitS = error instanceof Refused ? error.waitS : 0;
        if (waitS > 0) wait(waitS);
        else tell(error);
      }
    });
    sheet.showModal();
    (name.value ? pin : name).focus();
  });
  clearInterval(timer);
  sheet.close();
  sheet.remove();
  showState();
  return isIn;

  /** @param {unknown} error */
  function tell(error) {
    const isWrong = error instanceof Refused && error.code === "wrong_pin";
    if (isWrong) say(problem, words.signIn.wrong);
    else sayWhy(problem, error);
    enter.removeAttribute("disabled");
    pin.focus();
  }

  /** Count the seconds down until another PIN is looked at. @param {number} seconds */
  function wait(seconds) {
    const overAt = performance.now() + seconds * 1000;
    const show = () => {
      const left = Math.ceil((overAt - performance.now()) / 1000);
      if (left > 0) {
        say(problem, words.signIn.wait(left));
        return;
      }
      clearInterval(timer);
      say(problem, words.signIn.again);
      enter.removeAttribute("disabled");
      pin.focus();
    };
    timer = window.setInterval(show, 250);
    show();
  }
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

function rememberedName() {
  try {
    return localStorage.getItem(NAME_KEY) ?? "";
  } catch {
    return "";
  }
}

/** @param {string} name */
function remember(name) {
  try {
    localStorage.setItem(NAME_KEY, name);
  } catch {
    // Asked for again the next time.
  }
}
