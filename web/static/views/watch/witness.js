/**
 * What the real cones show: entered here, listed here, and what follows from it for each channel,
 * which counts only once a person says so. Knows forms and taps, no heat-work.
 */

import { CONE_NAMES, angleOf, coneDrawing } from "../../cones.js";
import { byId, make, say, sayWhy, whenChanged } from "../../dom.js";
import { newId, sayTheirs } from "../../send.js";
import { clock, showElapsed, showSigma, showSigned } from "../../units.js";
import { words } from "../../words.js";

/** @typedef {import("../../types.js").Snapshot} Snapshot */
/** @typedef {import("../../types.js").Unit} Unit */
/** @typedef {import("../../types.js").Look} Look */
/** @typedef {import("../../types.js").ChannelOffset} ChannelOffset */

export const TIPS = ["upright", "1", "2", "3", "4", "5", "just touching", "touching"];

/**
 * A round target for the thumb around a radio button.
 * @param {string} group
 * @param {string} value
 * @param {...(Node | string)} content
 */
export function choice(group, value, ...content) {
  return make("label", { class: "choice" },
    make("input", { type: "radio", name: group, value, class: "choice-input" }),
    make("span", { class: "choice-face" }, ...content));
}

/** @param {HTMLElement} form @param {string} group @returns {HTMLInputElement | null} */
export function chosen(form, group) {
  return form.querySelector(`input[name="${group}"]:checked`);
}

/**
 * @param {(look: object) => Promise<Look | import("../../types.js").Accepted>} addLook
 * @returns {(snapshot: Snapshot) => void}
 */
export function lookForm(addLook) {
  const section = byId("witness");
  const form = byId("look-form");
  const coneChoices = byId("look-cones");
  const channelSet = byId("look-channel-set");
  const channelChoices = byId("look-channels");
  const others = /** @type {HTMLSelectElement} */ (byId("look-cone-other"));
  const minutes = /** @type {HTMLInputElement} */ (byId("look-minutes"));
  const shelf = /** @type {HTMLInputElement} */ (byId("look-shelf"));
  const button = byId("look-save");
  const answer = byId("look-answer");
  const lacking = make("p", { id: "look-lacking", class: "problem", role: "alert" });
  /** @type {string | null} how its tip stands, as the server spells it */
  let tip = null;
  /** @type {import("./tip.js").Dial | null} a cone to be dragged, once the form has been opened */
  let dial = null;
  /** The same look tried again is the same one, and as old as it is by then. */
  let draft = { text: "", id: "", firstMs: 0 };
  let speed = 1;

  byId("look-tips").replaceChildren(...TIPS.map((tip) =>
    choice("look-tip", tip, coneDrawing(angleOf(tip)), make("span", {}, words.witness.tipChoice(tip)))));
  others.replaceChildren(make("option", { value: "" }, words.witness.otherCone),
    ...CONE_NAMES.map((cone) => make("option", { value: cone }, words.cones.name(cone))));
  others.addEventListener("change", () => {
    const one = chosen(form, "look-cone");
    if (others.value && one) one.checked = false;
  });
  form.addEventListener("change", (event) => {
    hush();
    const { name, value } = /** @type {HTMLInputElement} */ (event.target);
    if (name === "look-cone") others.value = "";
    if (name === "look-tip") stand(value);
  });
  byId("look").addEventListener("toggle", async () => {
    try {
      const { tipDial } = await import("./tip.js");
      dial = await tipDial((seen) => {
        hush();
        stand(seen);
      });
      byId("look-tips").before(dial.element);
      dial.show(tip);
    } catch (error) {
      console.error(error); // What it tells can be tapped as well.
    }
  }, { once: true });

  function hush() {
    say(answer, "");
    lacking.remove();
  }

  /** The drawn cone and the choices show the same. @param {string | null} seen */
  function stand(seen) {
    tip = seen;
    dial?.show(seen);
    for (const input of form.querySelectorAll('input[name="look-tip"]')) {
      const radio = /** @type {HTMLInputElement} */ (input);
      radio.checked = radio.value === seen;
    }
  }

  const drawCones = whenChanged(/** @param {string[]} cones */ (cones) => {
    const before = chosen(form, "look-cone")?.value;
    coneChoices.replaceChildren(...[...new Set(cones)].map((cone) => choice("look-cone", cone, cone)));
    pick("look-cone", before);
  });
  const drawChannels = whenChanged(/** @param {string[]} channels */ (channels) => {
    const before = chosen(form, "look-channel")?.value;
    channelSet.hidden = channels.length < 2;
    channelChoices.replaceChildren(
      ...channels.map((channel) => choice("look-channel", `=${channel}`, channel)),
      choice("look-channel", "", words.witness.noChannel));
    pick("look-channel", before);
  });

  /** @param {string} group @param {string | undefined} value */
  function pick(group, value) {
    for (const input of form.querySelectorAll(`input[name="${group}"]`)) {
      const radio = /** @type {HTMLInputElement} */ (input);
      if (radio.value === value) radio.checked = true;
    }
  }

  /** The first thing that is missing and where it is chosen, or null. @returns {[string, Element] | null} */
  function missing() {
    if (!others.value && !chosen(form, "look-cone")) return [words.witness.noCone, coneChoices];
    if (!tip) return [words.witness.noTip, byId("look-tips")];
    if (!channelSet.hidden && !chosen(form, "look-channel")) return [words.witness.whichChannel, channelChoices];
    return minutes.validity.valid ? null : [words.witness.noMinutes, minutes];
  }

  /** Said where it is chosen, for that is where the thumb goes next. @param {string} text @param {Element} place */
  function ask(text, place) {
    say(lacking, text);
    const set = place.closest("fieldset");
    if (set) set.append(lacking);
    else place.parentElement?.after(lacking);
    (set ?? place).scrollIntoView({ block: "nearest" });
    const input = place instanceof HTMLInputElement ? place : place.querySelector("input");
    input?.focus({ preventScroll: true });
  }

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const found = missing();
    if (found) {
      ask(...found);
      return;
    }
    const look = {
      cone: others.value || chosen(form, "look-cone")?.value,
      clock: tip,
      channel: chosen(form, "look-channel")?.value.slice(1) || null,
      shelf: shelf.value.trim() || null,
      minutes_ago: Number(minutes.value),
    };
    const text = JSON.stringify(look);
    if (draft.text !== text) draft = { text, id: newId(), firstMs: Date.now() };
    const heldMin = Math.max(0, Date.now() - draft.firstMs) / 60000 * speed;
    button.setAttribute("disabled", "");
    say(answer, words.notes.saving);
    try {
      const told = await addLook({ ...look, minutes_ago: look.minutes_ago + heldMin, client_id: draft.id });
      draft = { text: "", id: "", firstMs: 0 };
      stand(null);
      minutes.value = "0";
      say(answer, "accepted" in told ? told.message : words.notes.saved);
    } catch (error) {
      sayWhy(answer, error, words.notes.failed);
    } finally {
      button.removeAttribute("disabled");
    }
  });

  return (snapshot) => {
    section.hidden = snapshot.firing === null;
    speed = snapshot.speed;
    drawCones(snapshot.cones.map((cone) => cone.cone));
    drawChannels(snapshot.channels.map((channel) => channel.name));
  };
}

/**
 * @param {(number: number) => Promise<object | null>} withdrawLook
 * @returns {(snapshot: Snapshot) => void}
 */
export function lookList(withdrawLook) {
  const problem = byId("look-problem");
  const list = byId("look-list");
  const draw = whenChanged(/** @param {Look[]} looks */ (looks) => {
    list.replaceChildren(...looks.map(row));
  });

  /** @param {Look} look */
  function row(look) {
    const at = clock(look.time) ?? showElapsed(look.elapsed_s);
    const where = [look.channel, look.shelf].filter((part) => part !== null).join(", ");
    const seen = words.witness.seen(words.cones.name(look.cone), words.witness.tip(look.clock));
    const button = takeBack(`${at}, ${seen}`, problem, () => withdrawLook(look.number));
    return make("li", {},
      make("div", {},
        make("p", {}, make("span", { class: "note-head" }, `${at} \u00b7 `), seen),
        where ? make("p", { class: "note-head" }, where) : null),
      button,
      look.doubt ? sayTheirs(make("p", { class: "look-doubt" }), look.doubt, look.why) : null);
  }

  return (snapshot) => draw(snapshot.witness);
}

/**
 * @param {(channel: string, offsetC: number) => Promise<object | null>} accept
 * @param {(channel: string) => Promise<object | null>} withdraw
 * @returns {(snapshot: Snapshot, unit: Unit) => void}
 */
export function offsetList(accept, withdraw) {
  const problem = byId("offset-problem");
  const list = byId("offset-list");
  const explained = byId("offset-explained");
  const draw = whenChanged(
    /** @param {{rows: ChannelOffset[], unit: Unit, several: boolean}} shown */
    ({ rows, unit, several }) => {
      list.replaceChildren(...rows.map((row) => item(row, unit, several)));
    });

  /** @param {ChannelOffset} row @param {Unit} unit @param {boolean} several */
  function item({ channel, estimate, is_proposed: isProposed, is_too_far: isTooFar, in_force: inForce }, unit, several) {
    const lines = [];
    const now = inForce ? showSigned(inForce.offset_c, unit) : null;
    if (now) lines.push(words.witness.inForce(now));
    if (estimate) {
      const from = words.witness.from(estimate.observations, estimate.firings);
      const figure = words.witness.figure(showSigned(estimate.offset_c, unit), showSigma(estimate.sigma_c, unit), from);
      lines.push(isProposed || now ? words.witness.estimate(figure) : words.witness.nothingYet(figure));
      if (isTooFar) lines.push(words.witness.tooFar);
    }
    const buttons = [];
    if (estimate && isProposed) {
      const figure = showSigned(estimate.offset_c, unit);
      const text = now ? words.witness.useInstead(figure) : words.witness.use(figure);
      buttons.push(action(text, several ? channel : "", () => accept(channel, estimate.offset_c)));
    }
    if (now) buttons.push(action(words.witness.useNoMore(now), several ? channel : "", () => withdraw(channel)));
    return make("li", {},
      make("p", {}, several ? make("strong", {}, words.witness.beside(channel)) : null, lines.join(" ")),
      buttons.length ? make("div", { class: "offset-buttons" }, ...buttons) : null);
  }

  /** @param {string} text @param {string} channel @param {() => Promise<object | null>} ask */
  function action(text, channel, ask) {
    const label = channel ? words.witness.forChannel(text, channel) : text;
    const button = make("button", { type: "button", class: "small", "aria-label": label }, text);
    button.addEventListener("click", () => tryIt(button, problem, ask));
    return button;
  }

  return (snapshot, unit) => {
    const rows = snapshot.offsets.filter((row) => row.estimate !== null || row.in_force !== null);
    draw({ rows, unit, several: snapshot.channels.length > 1 });
    explained.hidden = rows.length === 0;
  };
}

/**
 * A button that takes back what was written.
 * @param {string} what it is, for those who can't see where the button stands
 * @param {HTMLElement} problem
 * @param {() => Promise<object | null>} ask
 */
export function takeBack(what, problem, ask) {
  const button = make("button", { type: "button", class: "small", "aria-label": words.witness.takeBackOf(what) }, words.witness.takeBack);
  button.addEventListener("click", () => tryIt(button, problem, ask));
  return button;
}

/**
 * What was asked shows in the next snapshot; what went wrong is said beside it.
 * @param {HTMLElement} button
 * @param {HTMLElement} problem
 * @param {() => Promise<object | null>} ask
 */
async function tryIt(button, problem, ask) {
  button.setAttribute("disabled", "");
  say(problem, "");
  try {
    const told = await ask();
    if (told && "message" in told) say(problem, String(told.message));
  } catch (error) {
    sayWhy(problem, error, words.witness.failed);
  } finally {
    button.removeAttribute("disabled");
  }
}
