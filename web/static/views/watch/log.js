/**
 * Whether a log is being kept, and the one button that begins or ends it, which asks once more
 * before it does. Knows taps and words; it never touches the kiln.
 */

import { byId, make, say, sayWhy, whenChanged } from "../../dom.js";
import { addressOf } from "../../places.js";
import { words } from "../../words.js";

/** @typedef {import("../../types.js").Snapshot} Snapshot */
/** @typedef {import("../../types.js").Accepted} Accepted */

/**
 * @param {(firingId: string) => Promise<Accepted | null>} begin the next log, after this firing
 * @param {(firingId: string) => Promise<Accepted | null>} end
 * @returns {(snapshot: Snapshot) => void}
 */
export function logPanel(begin, end) {
  const section = byId("log");
  const state = byId("log-state");
  const buttons = byId("log-buttons");
  const answer = byId("log-answer");
  let isTapped = false;
  /** Drawn anew only when something else is to be done, so that a question stays as it is. */
  const draw = whenChanged(
    /** @param {{id: string, state: string, plan: string | null, chosen: string | null}} now */
    (now) => {
      say(state, stateOf(now));
      if (now.state === "closed") state.append(" ", make("a", { href: addressOf("unload", now.id) }, words.log.unload));
      say(answer, "");
      offer(now);
    });

  /** @param {{state: string, plan: string | null, chosen: string | null}} now */
  function stateOf({ state, plan, chosen }) {
    if (state === "open") return chosen === null ? words.log.open : `${words.log.open} ${words.log.chosen(chosen)}`;
    const waits = state === "armed" ? words.log.armed(plan ?? "") : words.log.closed(plan ?? "");
    return chosen === null ? waits : `${waits} ${words.log.asChosen}`;
  }

  /** The button alone. @param {{id: string, state: string, plan: string | null}} now */
  function offer(now) {
    const button = make("button", { type: "button", class: "small", id: "log-ask" },
      now.state === "open" ? words.log.end : words.log.begin);
    button.addEventListener("click", () => askOnceMore(now));
    buttons.replaceChildren(button);
    return button;
  }

  /** @param {{id: string, state: string, plan: string | null}} now */
  function askOnceMore(now) {
    const ends = now.state === "open";
    say(answer, ends ? words.log.endAsk : words.log.beginAsk(now.plan ?? ""));
    const yes = make("button", { type: "button", class: "small", id: "log-yes" }, ends ? words.log.endYes : words.log.beginYes);
    const no = make("button", { type: "button", class: "small", id: "log-no" }, words.log.no);
    yes.addEventListener("click", async () => {
      isTapped = true;
      yes.setAttribute("disabled", "");
      no.setAttribute("disabled", "");
      try {
        const told = await (ends ? end(now.id) : begin(now.id));
        say(answer, told ? told.message : "");
      } catch (error) {
        sayWhy(answer, error, words.log.failed);
        offer(now);
      }
    });
    no.addEventListener("click", () => {
      say(answer, "");
      offer(now).focus();
    });
    buttons.replaceChildren(no, yes);
    no.focus();
  }

  /**
   * Before a firing the log and its plan are what one comes for, while it goes on the last thing.
   * Under a thumb that has just begun or ended it, it stays.
   */
  const put = whenChanged(/** @param {boolean} isFirst */ (isFirst) => {
    if (isTapped) return;
    if (isFirst) byId("temps").before(section);
    else byId("notes").after(section);
  });

  return (snapshot) => {
    const { state: kept, next_plan: plan, chosen_plan: chosen = null } = snapshot.log;
    const canDo = kept === "open" || plan !== null;
    section.hidden = snapshot.firing === null || !canDo;
    put(kept !== "open");
    if (snapshot.firing && canDo) draw({ id: snapshot.firing.id, state: kept, plan: plan && words.called(plan), chosen: chosen && words.called(chosen) });
  };
}
