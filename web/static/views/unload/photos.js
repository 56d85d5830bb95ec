/** Photos of the ware: from the phone's camera or its album, each with a word about it if wanted. */

import { make, say, sayWhy } from "../../dom.js";
import { digits } from "../../units.js";
import { photoAt, withdrawPhoto } from "./asking.js";
import { Parcel, leaveOut, onTheirWay, post, tryNow } from "./sending.js";
import { preview, smallEnough } from "./shrink.js";
import { words } from "./words.js";

/** @typedef {import("./asking.js").Photo} Photo */

const WHOLE = 100;

/**
 * @param {Pick<import("./asking.js").Unloading, "firing" | "pictures">} unloading
 * @param {import("../../types.js").Context} context
 */
export function photoSection({ firing, pictures }, { live, signal }) {
  const address = `api/firings/${encodeURIComponent(firing.id)}/photos`;
  let count = pictures.length;
  const take = picker("unload-take", words.photos.take, { capture: "environment" });
  const choose = picker("unload-choose", words.photos.choose, { multiple: true });
  const chosen = make("form", { class: "photo-chosen", hidden: true });
  const rows = make("ul", { class: "photo-rows" });
  const send = make("button", { type: "submit", class: "small photo-send" });
  const under = make("ul", { class: "photo-rows" });
  const shown = make("ul", { class: "photo-list" });
  const answer = make("p", { class: "note-answer", role: "status" });
  /** @type {{parcel: Parcel, row: HTMLElement}[]} */
  let waiting = [];
  chosen.append(rows, make("div", {}, send));
  for (const picture of pictures) show(picture);
  for (const parcel of onTheirWay(address)) follow(parcel);
  live.listen({ onOpen: tryNow }, signal);
  chosen.addEventListener("submit", (event) => {
    event.preventDefault();
    const all = waiting;
    waiting = [];
    drawChosen();
    for (const { parcel, row } of all) {
      parcel.caption = /** @type {HTMLInputElement} */ (row.querySelector("input")).value.trim();
      follow(parcel);
      post(parcel);
    }
  });
  return make("section", { id: "unload-photos", class: "panel", "aria-labelledby": "photos-heading" },
    make("h2", { id: "photos-heading", tabindex: "-1" }, words.photos.heading),
    make("div", { class: "photo-pick" }, ...take, ...choose), chosen, under, answer, shown,
    make("p", { class: "small-print" }, words.photos.kept));

  /** A file chooser that looks like the other buttons. @param {string} id @param {string} text @param {Record<string, string | boolean>} how */
  function picker(id, text, how) {
    const input = /** @type {HTMLInputElement} */ (make("input", { type: "file", id, accept: "image/*", class: "photo-input", ...how }));
    input.addEventListener("change", async () => {
      const files = [...(input.files ?? [])];
      input.value = "";
      for (const file of files) await add(file);
    });
    return [input, make("label", { for: id, class: "photo-button" }, text)];
  }

  /** @param {File} file */
  async function add(file) {
    say(answer, words.photos.shrinking);
    try {
      const small = await smallEnough(file);
      // What the phone can't draw may be a picture all the same: the server says so.
      const picture = await preview(small).catch(() => document.createElement("canvas"));
      if (signal.aborted) return;
      say(answer, "");
      count += 1;
      waiting.push({ parcel: new Parcel(address, small, ""), row: chosenRow(picture, count) });
    } catch {
      say(answer, words.photos.unreadable);
    }
    drawChosen();
  }

  /** @param {HTMLCanvasElement} picture @param {number} number */
  function chosenRow(picture, number) {
    picture.setAttribute("role", "img");
    picture.setAttribute("aria-label", words.photos.number(number));
    const leave = make("button", { type: "button", class: "quick", "aria-label": words.photos.leaveOf(number) }, words.photos.leave);
    const row = make("li", {}, picture, make("div", { class: "photo-said" },
      make("input", { type: "text", maxlength: "500", autocomplete: "off", placeholder: words.photos.caption, "aria-label": words.photos.captionOf(number) }),
      leave));
    leave.addEventListener("click", () => {
      waiting = waiting.filter((one) => one.row !== row);
      drawChosen();
    });
    return row;
  }

  function drawChosen() {
    rows.replaceChildren(...waiting.map(({ row }) => row));
    chosen.hidden = !waiting.length;
    say(send, words.photos.send(waiting.length));
  }

  /** Shows how far it is, until it is there. @param {Parcel} parcel */
  function follow(parcel) {
    const bar = /** @type {HTMLProgressElement} */ (make("progress", { max: "1", "aria-label": words.photos.progress }));
    const state = make("p", { role: "status" });
    const again = make("button", { type: "button", class: "quick", hidden: true }, words.again);
    const leave = make("button", { type: "button", class: "quick", hidden: true }, words.photos.leave);
    const row = make("li", { class: "photo-under" }, make("div", { class: "photo-said" },
      parcel.caption ? make("p", {}, parcel.caption) : null, bar, state, make("div", { class: "photo-pick" }, again, leave)));
    again.addEventListener("click", () => (parcel.state === "refused" ? post(parcel) : tryNow()));
    leave.addEventListener("click", () => {
      leaveOut(parcel);
      row.remove();
    });
    parcel.onChange = () => {
      if (parcel.state === "sent") {
        row.remove();
        if (parcel.photo) show(parcel.photo);
        return;
      }
      bar.value = parcel.share;
      bar.hidden = parcel.state !== "sending";
      again.hidden = parcel.state !== "refused" && parcel.state !== "no link";
      leave.hidden = parcel.state !== "refused";
      if (parcel.state === "refused") sayWhy(state, parcel.why, words.failed);
      else say(state, parcel.state === "sending" ? words.photos.sending(`${digits(parcel.share * WHOLE)}\u202f%`)
        : parcel.state === "waiting" ? words.photos.waiting
        : words.photos.noLink);
    };
    parcel.onChange();
    under.append(row);
  }

  /** @param {Photo} photo */
  function show(photo) {
    if (shown.querySelector(`[data-number="${photo.number}"]`)) return;
    const name = photo.caption || words.photos.number(photo.number);
    const away = make("button", { type: "button", class: "quick", "aria-label": words.photos.takeBackOf(name) }, words.photos.takeBack);
    const row = make("li", { "data-number": String(photo.number) },
      make("a", { href: photoAt(firing.id, photo.number), target: "_blank", rel: "noopener" },
        make("img", { src: `${photoAt(firing.id, photo.number)}/small`, alt: name, loading: "lazy" })),
      make("p", {}, photo.caption ?? ""), away);
    let isAsked = false;
    away.addEventListener("click", async () => {
      if (!isAsked) {
        isAsked = true;
        say(away, words.photos.really);
        away.setAttribute("aria-label", `${words.photos.really}: ${name}`);
        return;
      }
      away.setAttribute("disabled", "");
      try {
        await withdrawPhoto(firing.id, photo.number);
        row.remove();
      } catch (error) {
        away.removeAttribute("disabled");
        sayWhy(answer, error, words.notDone);
      }
    });
    shown.append(row);
  }
}
