/**
 * The witness cones as they come out of the cold kiln: a whole pack at once. Knows taps and words,
 * no heat-work; the drawn cones are those of the watch.
 */

import { CONE_NAMES, angleOf, coneDrawing } from "../../cones.js";
import { make, say, sayWhy } from "../../dom.js";
import { newId } from "../../send.js";
import { sendLook, withdrawLook } from "./asking.js";
import { jumpTo } from "./jump.js";
import { words } from "./words.js";

/** @typedef {import("./asking.js").Look} Look */

/** Every way that a cone may stand, as the server spells it. */
const STANCES = ["upright", "1", "2", "3", "4", "5", "just touching", "touching"];

/**
 * @param {import("./asking.js").Unloading} unloading
 * @param {import("./looked.js").Looked} looked
 */
export function coneSection({ firing, cones, witness, target_cone: target }, looked) {
  const several = firing.channels.length > 1;
  let standing = witness;
  const list = make("ul", { class: "look-list" });
  const answer = make("p", { class: "note-answer", role: "status" });
  const pack = make("div", { class: "unload-pack" }, ...cones.map(coneRow));
  const other = /** @type {HTMLSelectElement} */ (make("select", { "aria-label": words.cones.other },
    make("option", { value: "" }, words.cones.other),
    ...CONE_NAMES.map((cone) => make("option", { value: cone }, cone))));
  const beside = make("fieldset", { hidden: !several },
    make("legend", {}, words.cones.beside),
    make("div", { class: "choices" },
      ...firing.channels.map((channel) => choice("unload-channel", `=${channel}`, channel)),
      choice("unload-channel", "", words.cones.noChannel)),
    make("p", { class: "small-print", role: "status" }));
  beside.addEventListener("change", (event) => {
    const { value } = /** @type {HTMLInputElement} */ (event.target);
    say(/** @type {Element} */ (beside.lastElementChild), value === "" ? words.cones.noChannelWhy : "");
  });
  const shelf = /** @type {HTMLInputElement} */ (make("input", { type: "text", id: "unload-shelf", maxlength: "60", autocomplete: "off" }));
  const save = make("button", { type: "submit", class: "small" }, words.cones.save);
  const form = make("form", { class: "unload-cones" }, pack, make("div", {}, other), beside,
    make("div", {}, make("label", { for: "unload-shelf" }, words.cones.shelf), shelf),
    make("div", {}, save), answer);
  other.addEventListener("change", () => {
    if (!other.value) return;
    if (!form.querySelector(`[name="unload-tip-${CSS.escape(other.value)}"]`)) pack.append(coneRow(other.value));
    other.value = "";
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    keep();
  });
  const seen = make("p", { class: "unload-status", role: "status" });
  const follows = make("button", { type: "button", class: "small", hidden: true }, words.cones.follows);
  follows.addEventListener("click", () => jumpTo("unload-next"));
  looked.listen({
    onTraced(traced) {
      const cone = traced.seen_cone;
      say(seen, cone === null || target === null ? "" : words.next.byCones(cone, target));
      follows.hidden = !traced.looks;
    },
  });
  draw();
  return make("section", { id: "unload-cones", class: "panel", "aria-labelledby": "unload-cones-heading" },
    make("h2", { id: "unload-cones-heading", tabindex: "-1" }, words.cones.heading),
    make("p", { class: "small-print" }, words.cones.hint), list, form, seen, make("div", { class: "unload-on" }, follows));

  async function keep() {
    const tips = [...form.querySelectorAll('input[name^="unload-tip-"]:checked')].map((one) => /** @type {HTMLInputElement} */ (one));
    const channel = several ? form.querySelector('input[name="unload-channel"]:checked') : null;
    if (!tips.length) return say(answer, words.cones.none);
    if (several && !channel) return say(answer, words.cones.where);
    save.setAttribute("disabled", "");
    say(answer, words.saving);
    try {
      let told = words.saved;
      for (const tip of tips) {
        // The same tap tried again is the same look still.
        tip.dataset.sent ??= newId();
        const look = await sendLook(firing.id, {
          cone: tip.dataset.cone, clock: tip.value, client_id: tip.dataset.sent,
          channel: /** @type {HTMLInputElement | null} */ (channel)?.value.slice(1) || null,
          shelf: shelf.value.trim() || null,
        });
        if ("accepted" in look) told = look.message;
        else standing = [...standing.filter(({ number }) => number !== look.number), look];
        tip.checked = false;
        delete tip.dataset.sent;
      }
      draw();
      say(answer, told);
      looked.told(false);
    } catch (error) {
      draw();
      sayWhy(answer, error, words.failed);
    } finally {
      save.removeAttribute("disabled");
    }
  }

  function draw() {
    list.replaceChildren(...standing.map(row));
  }

  /** @param {Look} look */
  function row(look) {
    const where = [look.channel, look.shelf].filter((part) => part !== null).join(", ");
    const seen = words.cones.seen(look.cone, tipName(look.clock), where ? words.cones.at(where) : "");
    const button = make("button", { type: "button", class: "small", "aria-label": words.cones.takeBackOf(seen) }, words.cones.takeBack);
    button.addEventListener("click", async () => {
      button.setAttribute("disabled", "");
      try {
        await withdrawLook(firing.id, look.number);
        standing = standing.filter(({ number }) => number !== look.number);
        draw();
        save.focus({ preventScroll: true });
        say(answer, "");
        looked.told(false);
      } catch (error) {
        button.removeAttribute("disabled");
        sayWhy(answer, error, words.notDone);
      }
    });
    return make("li", {}, make("div", {}, make("p", {}, seen)), button);
  }
}

/** One cone of the pack with every way that it may stand. @param {string} cone */
function coneRow(cone) {
  return make("fieldset", { class: "unload-cone" },
    make("legend", {}, words.cones.one(cone)),
    make("div", { class: "unload-tips" }, ...STANCES.map((tip) => {
      const face = choice(`unload-tip-${cone}`, tip, coneDrawing(angleOf(tip)), make("span", {}, words.cones.tips[tip] ?? tip));
      const input = /** @type {HTMLInputElement} */ (face.firstChild);
      input.dataset.cone = cone;
      input.setAttribute("aria-label", tipName(tip));
      return face;
    })));
}

/** @param {string} tip as the server spells it */
function tipName(tip) {
  return words.cones.tipsLong[tip] ?? words.cones.hour(tip);
}

/** @param {string} group @param {string} value @param {...(Node | string)} content */
function choice(group, value, ...content) {
  return make("label", { class: "choice" },
    make("input", { type: "radio", name: group, value, class: "choice-input" }),
    make("span", { class: "choice-face" }, ...content));
}
