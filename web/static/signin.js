/**
 * The sheet that asks for name and PIN, fetched when it is wanted. Remembers the name on this phone,
 * the PIN nowhere.
 */

import { make, say, sayWhy } from "./dom.js";
import { Refused, send } from "./send.js";
import { style } from "./styles.js";
import { words } from "./words.js";

/** @typedef {import("./types.js").SessionState} SessionState */

const NAME_KEY = "spyhole.name";

/**
 * @param {SessionState | null} session as the server told it last
 * @returns {Promise<SessionState | null>} the session that has begun; null where the person left
 */
export async function openSheet(session) {
  await style("static/signin.css");
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
  /** @type {SessionState | null} */
  const begun = await new Promise((resolve) => {
    leave.addEventListener("click", () => resolve(null));
    // A browser lets nothing keep a sheet open against a second Escape; it opens again then.
    sheet.addEventListener("close", () => {
      if (mayRead) resolve(null);
      else if (sheet.isConnected) sheet.showModal();
    });
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      enter.setAttribute("disabled", "");
      say(problem, "");
      try {
        const begun = await send("api/session/begin", { name: name.value, pin: pin.value });
        remember(name.value.trim());
        resolve(begun);
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
  return begun;

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
