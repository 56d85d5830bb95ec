/**
 * The view of the running firing: is it fine, and if not, what do I go and look at. That comes
 * first; the chart, the cones and what is written into the record come when it is seen.
 */

import { breath } from "../dom.js";
import { acknowledge } from "../send.js";
import { notLoaded } from "../shell.js";
import { alertsPanel, earlierList } from "./watch/alerts.js";
import { layout } from "./watch/layout.js";
import { blindLine, planPanel, tempsPanel, verdictPanel } from "./watch/panels.js";

/** So long the first part waits for the rest, where that belongs above it. */
const WHOLE_WITHIN_MS = 1000;

/**
 * @param {HTMLElement} root
 * @param {import("../types.js").Context} context
 */
export async function mount(root, context) {
  const { live, signal } = context;
  root.append(...layout());
  await breath();
  if (signal.aborted) return;
  const showVerdict = verdictPanel();
  const shows = [alertsPanel(acknowledge), earlierList(), blindLine(), tempsPanel(), planPanel()];
  /** @type {Promise<void> | null} */
  let showing = null;
  /** @type {HTMLElement | null} what stands where the rest could not be fetched, until there is a link again */
  let missing = null;

  live.listen({
    onSnapshot(snapshot) {
      if (showing) for (const show of shows) show(snapshot, live.unit());
      else showing = showFirst();
    },
    onOpen() {
      if (missing) showMore();
    },
    onAge: () => showVerdict(live.verdict()),
  }, signal);
  await showing;

  /** What is shown first comes piece by piece, so that a finger is heard between, and is seen when it is whole. */
  async function showFirst() {
    root.classList.add("coming");
    await showEach(shows);
    const more = showMore();
    // Before a firing the log and its plan are what one comes for, and stand first.
    if (live.snapshot?.log.state !== "open") await Promise.race([more, breath(WHOLE_WITHIN_MS)]);
    root.classList.remove("coming");
  }

  async function showMore() {
    missing?.remove();
    missing = null;
    try {
      const { addMore } = await import("./watch/more.js");
      if (signal.aborted) return;
      const more = addMore(root, context);
      // A snapshot that comes meanwhile is shown by all of them.
      shows.push(...more);
      await showEach(more);
    } catch (error) {
      console.error(error);
      if (signal.aborted) return;
      missing = notLoaded();
      root.append(missing);
    }
  }

  /** @param {typeof shows} some */
  async function showEach(some) {
    for (const show of some) {
      await breath();
      if (signal.aborted) return;
      if (live.snapshot) show(live.snapshot, live.unit());
    }
  }
}
