/**
 * Photos on their way: one after the other, tried again until the link is back, also while another
 * view is looked at. Knows bytes, no kiln and no elements.
 */

import { Refused, newId, refusal, withPin } from "../../send.js";
import { words } from "../../words.js";

/** @typedef {import("./asking.js").Photo} Photo */
/** @typedef {"waiting" | "sending" | "no link" | "refused" | "sent"} State */

/** Without a single byte for so long the link counts as gone. */
const SILENT_MS = 30000;
const AGAIN_MS = [2000, 5000, 10000, 20000];
const UNAVAILABLE = 503;

export class Parcel {
  /**
   * @param {string} address where it goes
   * @param {Blob} file
   * @param {string} caption
   */
  constructor(address, file, caption) {
    this.address = address;
    this.file = file;
    this.caption = caption;
    /** Sent again with the same one it is not kept twice. */
    this.id = newId();
    /** @type {State} */
    this.state = "waiting";
    this.share = 0;
    /** @type {unknown} */
    this.why = null;
    /** @type {Photo | null} */
    this.photo = null;
    /** @type {() => void} */
    this.onChange = () => {};
  }
}

/** @type {Parcel[]} */
const queue = [];
let isSending = false;
/** @type {() => void} */
let wake = () => {};

/** What is not there yet of those that go to this address. @param {string} address */
export function onTheirWay(address) {
  return queue.filter((one) => one.address === address);
}

/** @param {Parcel} parcel */
export function post(parcel) {
  parcel.state = "waiting";
  parcel.onChange();
  if (!queue.includes(parcel)) queue.push(parcel);
  if (!isSending) work();
}

/** @param {Parcel} parcel */
export function leaveOut(parcel) {
  if (queue.includes(parcel)) queue.splice(queue.indexOf(parcel), 1);
}

/** The link may be back: don't wait any longer. */
export function tryNow() {
  wake();
}

addEventListener("online", tryNow);
addEventListener("beforeunload", (event) => {
  if (queue.some(({ state }) => state !== "refused")) event.preventDefault();
});

async function work() {
  isSending = true;
  let failures = 0;
  for (;;) {
    const parcel = queue.find(({ state }) => state !== "refused");
    if (!parcel) break;
    try {
      tell(parcel, "sending");
      parcel.photo = await withPin(() => upload(parcel));
      leaveOut(parcel);
      failures = 0;
      tell(parcel, "sent");
    } catch (error) {
      parcel.share = 0;
      parcel.why = error;
      if (error instanceof Refused && error.status !== UNAVAILABLE) {
        tell(parcel, "refused");
        continue;
      }
      tell(parcel, "no link");
      await new Promise((resolve) => {
        wake = () => resolve(undefined);
        setTimeout(resolve, AGAIN_MS[Math.min(failures, AGAIN_MS.length - 1)]);
      });
      failures += 1;
    }
  }
  isSending = false;
}

/** @param {Parcel} parcel @param {State} state */
function tell(parcel, state) {
  parcel.state = state;
  parcel.onChange();
}

/**
 * By a request that tells how far it is, which `fetch` can't.
 * @param {Parcel} parcel
 * @returns {Promise<Photo>}
 */
function upload(parcel) {
  const { address, file, caption, id } = parcel;
  const query = new URLSearchParams({ client_id: id, ...(caption ? { caption } : {}) });
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    let silence = 0;
    const heard = () => {
      clearTimeout(silence);
      silence = setTimeout(() => request.abort(), SILENT_MS);
    };
    const gone = () => reject(new Error(words.noAnswer));
    request.open("POST", `${address}?${query}`);
    request.setRequestHeader("Content-Type", file.type);
    request.setRequestHeader("X-Spyhole", "1");
    request.responseType = "json";
    request.upload.addEventListener("progress", ({ loaded, total }) => {
      heard();
      parcel.share = total ? loaded / total : 0;
      parcel.onChange();
    });
    request.addEventListener("loadend", () => clearTimeout(silence));
    request.addEventListener("error", gone);
    request.addEventListener("abort", gone);
    request.addEventListener("load", () => {
      if (request.status >= 200 && request.status < 300 && request.response) resolve(request.response);
      else refusal(request.status, request.response).then(reject);
    });
    heard();
    request.send(file);
  });
}
