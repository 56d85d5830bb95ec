/**
 * The next firing: what the record and the cones suggest, a plan made of this firing with one of it
 * or none, looked at, kept as a new file and chosen only when a person says so.
 */

import { make, say, sayWhy } from "../../dom.js";
import { addressOf } from "../../places.js";
import { language, locale } from "../../settings.js";
import { showDuration, tight } from "../../units.js";
import { chooseNext, savePlan } from "../plans/asking.js";
import { drawing, figures } from "../plans/explained.js";
import { sayMistakes } from "../plans/mistakes.js";
import { cautionsSaid } from "../plans/saying.js";
import { askAgain } from "./asking.js";
import { changeSaid, coneOf, fitSaid } from "./saying.js";
import { piece } from "./traced.js";
import { words } from "./words.js";

/** @typedef {import("./asking.js").Change} Change */
/** @typedef {import("./asking.js").AgainPlan} AgainPlan */
/** @typedef {import("../../saying.js").Said} Said */

const AS_FIRED = "";
const figure = new Intl.NumberFormat(locale, { maximumFractionDigits: 1 });

/**
 * @param {import("./asking.js").Unloading} unloading
 * @param {import("./looked.js").Looked} looked
 * @param {import("../../types.js").Context} context
 */
export function nextSection({ firing, target_cone: target }, looked, { live, signal }) {
  const status = make("p", { class: "unload-status", role: "status" }, words.working);
  const choices = make("fieldset", { class: "next-choices", hidden: true });
  const byHand = make("div", {});
  const button = make("button", { type: "submit", class: "small next-make" }, words.next.make);
  const form = make("form", { class: "next-form", hidden: true }, byHand, choices, make("div", {}, button));
  const answer = make("p", { class: "unload-status", role: "status" });
  const preview = make("div", {});
  /** @type {Change[]} */
  let changes = [];
  let asked = 0;
  /** What is shown is a file by now, and stays as it was kept. */
  let isKept = false;

  looked.listen({
    onLooking() {
      say(status, words.working);
    },
    onFailed(why) {
      sayWhy(status, why);
    },
    onTraced(traced) {
      const before = chosen();
      changes = traced.changes;
      form.hidden = choices.hidden = !traced.is_whole;
      const hasCones = changes.some(({ name }) => name === "cones");
      const { looks, seen_cone: seen } = traced;
      const byCones = seen !== null && target !== null ? words.next.byCones(seen, target)
        : looks ? words.next.leftOpen
        : words.next.noCones;
      say(status, !traced.is_whole ? words.traced.cold
        : changes.length ? words.next.one
        : `${words.next.none} ${hasCones || target === null ? "" : byCones}`.trim());
      draw(before);
      // A plan that is looked at follows the scale, unless its change is suggested no more.
      if (preview.firstChild && !form.hidden && !isKept) {
        if (chosen() === before) makePlan();
        else forget();
      }
    },
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    makePlan();
  });
  choices.addEventListener("change", forget);
  return make("section", { id: "unload-next", class: "panel", "aria-labelledby": "next-heading" },
    make("h2", { id: "next-heading", tabindex: "-1" }, words.next.heading), status, form, answer, preview);

  function chosen() {
    return /** @type {HTMLInputElement | null} */ (choices.querySelector("input:checked"))?.value ?? AS_FIRED;
  }

  function forget() {
    asked += 1;
    isKept = false;
    preview.replaceChildren();
    say(answer, "");
  }

  /** @param {string} before what was chosen */
  function draw(before) {
    const hand = changes.filter(({ ways }) => !ways.length);
    const unit = live.unit();
    byHand.replaceChildren(...(hand.length
      ? [make("h3", {}, words.next.byHand), make("ul", { class: "next-hand" }, ...hand.map((one) => {
        const { reason, change } = changeSaid(one, unit);
        return make("li", {}, piece("span", reason), " ", piece("strong", change));
      }))]
      : []));
    const ways = changes.map((one) => changeSaid(one, unit))
      .flatMap(({ reason, ways: all }) => all.map(({ key, said }) => way(key, said, reason)));
    choices.replaceChildren(make("legend", {}, words.next.choose),
      way(AS_FIRED, { text: words.next.asFired, lang: null }, { text: words.next.asFiredWhy, lang: null }), ...ways);
    const inputs = /** @type {HTMLInputElement[]} */ ([...choices.querySelectorAll("input")]);
    const now = inputs.find(({ value }) => value === before) ?? inputs[0];
    now.checked = true;
  }

  /** @param {string} key @param {Said} said @param {Said} why */
  function way(key, said, why) {
    return make("label", { class: "next-way" },
      make("input", { type: "radio", name: "next-way", value: key }),
      make("span", {}, piece("strong", said), make("span", { class: "next-why", ...(why.lang ? { lang: why.lang } : {}) }, why.text)));
  }

  async function makePlan() {
    asked += 1;
    const now = asked;
    button.setAttribute("disabled", "");
    say(answer, words.next.making);
    try {
      const plan = await askAgain(firing.id, live.unit(), chosen() || null, signal);
      if (signal.aborted || now !== asked) return;
      isKept = false;
      preview.replaceChildren(planShown(plan));
      say(answer, words.next.nothingYet);
    } catch (error) {
      if (now === asked) sayWhy(answer, error, words.notDone);
    } finally {
      button.removeAttribute("disabled");
    }
  }

  /** What the plan is called where the server's English is not read. @param {AgainPlan["draft"]} draft @param {string | null} key */
  function nameOf({ target_cone: cone }, key) {
    const ways = changes.flatMap((one) => changeSaid(one, live.unit()).ways);
    const way = ways.find((one) => one.key === key);
    const what = way ? way.said.text.split(/[:(]/)[0].trim() : cone === null ? "" : words.shown.one(cone);
    return words.next.like(firing.id, what).replace(/, $/, "");
  }

  /** @param {AgainPlan} plan */
  function planShown({ change, draft, explained, fit, cone_by_cones: byCones }) {
    const name = /** @type {HTMLInputElement} */ (make("input", { id: "next-name", type: "text", maxlength: "200", autocomplete: "off", "aria-describedby": "next-mistake" }));
    name.value = language === "en" ? draft.name : nameOf(draft, change);
    const mistake = make("p", { id: "next-mistake", class: "problem", role: "status" });
    const done = make("div", { role: "status" });
    const fire = make("button", { type: "submit", class: "small next-fire", value: "fire" }, words.next.saveAndFire);
    const save = make("button", { type: "submit", class: "small", value: "save" }, words.next.save);
    const buttons = make("div", { class: "next-buttons" }, fire, save);
    const keepForm = make("form", { class: "next-keep" },
      make("label", { for: "next-name" }, words.next.name), name,
      make("p", { class: "small-print" }, words.next.nameWhy), mistake, buttons, done);
    keepForm.addEventListener("submit", async (event) => {
      event.preventDefault();
      const fires = /** @type {HTMLButtonElement | null} */ (/** @type {SubmitEvent} */ (event).submitter)?.value !== "save";
      await keep(fires);
    });
    return make("div", { class: "next-plan" },
      figures(explained, live.unit()),
      byCones === null ? null : make("p", { class: "next-saved" }, tight(words.fit.byCones(coneOf(byCones)))),
      explained.cautions.length
        ? make("div", { class: "plan-cautions next-cautions" }, make("h3", {}, words.next.cautions),
          make("ul", {}, ...cautionsSaid(explained, live.unit()).map((line) => piece("li", line))))
        : null,
      make("h3", {}, words.next.steps), stepList(),
      make("details", { class: "more" }, make("summary", {}, words.next.picture), drawing(explained)),
      make("details", { class: "more" }, make("summary", {}, words.next.fits),
        make("ul", {}, ...fitSaid(fit, live.unit()).map((line) => make("li", {}, line)))),
      keepForm);

    function stepList() {
      /** @param {import("../plans/asking.js").Figure} value */
      const degrees = (value) => `${figure.format(Number(value))}\u202f°${draft.units}`;
      return make("ol", { class: "next-steps" }, ...draft.steps.map(({ rate, to, hold_min: hold }) =>
        make("li", {}, words.next.step(
          rate === null ? words.next.freely : words.next.rate(degrees(rate)), degrees(to))
          + (Number(hold) ? words.next.hold(showDuration(Number(hold) * 60)) : ""))));
    }

    /** @param {boolean} fires */
    async function keep(fires) {
      for (const one of [fire, save]) one.setAttribute("disabled", "");
      say(mistake, words.saving);
      try {
        const { mistakes, saved } = await savePlan({ ...draft, name: name.value });
        if (!saved) {
          sayMistakes(mistake, mistakes);
          name.setAttribute("aria-invalid", "true");
          name.focus();
          return;
        }
        isKept = true;
        say(mistake, "");
        say(answer, "");
        name.removeAttribute("aria-invalid");
        name.readOnly = true;
        buttons.remove();
        done.replaceChildren(make("p", { class: "next-saved" }, words.next.saved(saved.id)),
          make("p", {}, make("a", { href: addressOf("plans", saved.id) }, words.next.open)));
        if (fires) await fireNext(saved.id);
        else offer(saved.id);
      } catch (error) {
        sayWhy(mistake, error, words.failed);
      } finally {
        for (const one of [fire, save]) one.removeAttribute("disabled");
      }
    }

    /** It is saved; choosing it is another step, which may fail alone. @param {string} id */
    async function fireNext(id) {
      try {
        await chooseNext(id);
        done.append(make("p", { class: "next-saved" }, words.next.fired));
      } catch (error) {
        sayWhy(mistake, error, words.notDone);
        offer(id);
      }
    }

    /** @param {string} id */
    function offer(id) {
      const one = make("button", { type: "button", class: "small next-fire" }, words.next.fire);
      one.addEventListener("click", async () => {
        one.remove();
        say(mistake, "");
        await fireNext(id);
      });
      done.append(one);
    }
  }
}
