/**
 * Puts the page together: the link brings news, the strip around every view shows the worst of
 * them, and the address says which view is shown.
 */

import "./trust.js";
import { breath, byId, make, say } from "./dom.js";
import { Live } from "./live.js";
import { addressOf, placeOf } from "./places.js";
import { LANGUAGES, chooseClock, chooseLanguage, language } from "./settings.js";
import { label, navigation, notLoaded, showChoices, showFooter, showHead, showStrip } from "./shell.js";
import { VIEWS } from "./views.js";
import { whenRefused } from "./send.js";
import { words, wordAt } from "./words.js";

/** So long a view may wait for what it asked for before it is seen without. */
const WHOLE_WITHIN_MS = 1000;

await breath();
const FIRST = VIEWS[0];
const live = new Live();
const root = byId("view");
const markShown = navigation(VIEWS.filter((view) => !view.isHidden));
let shown = FIRST.name;
let leaving = new AbortController();

for (const element of document.querySelectorAll("[data-words]")) {
  say(element, wordAt(/** @type {HTMLElement} */ (element).dataset.words ?? ""));
}
for (const scale of /** @type {const} */ (["C", "F"])) {
  byId(`unit-${scale}`).addEventListener("click", () => live.chooseUnit(scale));
}
for (const face of /** @type {const} */ (["24", "12"])) {
  byId(`clock-${face}`).addEventListener("click", () => {
    chooseClock(face);
    live.showAnew();
  });
}
for (const one of /** @type {(keyof typeof LANGUAGES)[]} */ (Object.keys(LANGUAGES))) {
  byId(`language-${one}`).addEventListener("click", () => {
    chooseLanguage(one);
    location.reload();
  });
}
document.documentElement.lang = language;
live.listen({
  onSnapshot(snapshot) {
    showHead(snapshot);
    showFooter(snapshot);
  },
  onAge() {
    showChoices(live.unit());
    const verdict = live.verdict();
    if (live.snapshot || verdict.level === "blind") document.body.classList.add("known");
    showStrip(verdict, live.ageS());
    const where = live.snapshot ? live.snapshot.kiln.name : words.title;
    const view = shown === FIRST.name ? "" : ` \u2013 ${label(shown)}`;
    document.title = `${verdict.title} \u2013 ${where}${view}`;
  },
});
window.addEventListener("hashchange", () => show(true));
/** @type {Promise<typeof import("./session.js")> | null} */
let signingIn = null;
whenRefused(async () => (await signing()).askForPin());
show(false).then(async () => {
  await signing();
  (await import("./phone.js")).phone(live);
}).catch(console.error);
live.start("api/stream");

/** Who is signed in, fetched when that is asked or the first view stands. */
function signing() {
  signingIn ??= import("./session.js").then((module) => {
    module.keepSession(live);
    return module;
  });
  return signingIn;
}

/**
 * Leave the view that is shown and show the one of the address; an address of none shows the first.
 * @param {boolean} isMove whether a person has gone there from another place of the page
 */
async function show(isMove) {
  const place = placeOf(location.hash);
  const view = VIEWS.find(({ name }) => name === place.view) ?? FIRST;
  if (place.view && place.view !== view.name) history.replaceState(null, "", addressOf(view.name));
  leaving.abort();
  leaving = new AbortController();
  const { signal } = leaving;
  shown = view.name;
  document.body.dataset.view = view.name;
  markShown(view.name);
  try {
    if (view.hasWords) import(`./words/${view.name}/${language}.js`).catch(() => undefined);
    const { mount } = await view.load();
    if (signal.aborted) return;
    const inner = make("div", { class: `view view-${view.name} coming` });
    root.replaceChildren(inner);
    // What comes later, a film say, is waited for at the top of the page.
    if (isMove) scrollTo(0, 0);
    const come = () => inner.classList.remove("coming");
    setTimeout(come, WHOLE_WITHIN_MS);
    await mount(inner, { live, place: { ...place, view: view.name }, signal });
    come();
  } catch (error) {
    if (signal.aborted) return;
    console.error(error);
    root.replaceChildren(notLoaded());
  }
  if (!isMove || signal.aborted) return;
  root.focus({ preventScroll: true });
}
