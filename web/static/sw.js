/**
 * Keeps the page's own files for times without a link; what is asked of the kiln always goes to the
 * kiln. `VERSION` (by content) and `FILES` are put before this by the server (web/files.py).
 */

/** @typedef {import("./types.js").ServiceWorkerLike} ServiceWorkerLike */

const worker = /** @type {ServiceWorkerLike} */ (/** @type {unknown} */ (self));
const { VERSION, FILES } = worker.SHELL;
const CACHE = `spyhole-${VERSION}`;
/** A network that does not say no answers late or never: then what is kept is shown. */
const PATIENCE_MS = 2500;

worker.addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE)
    .then((cache) => cache.addAll(FILES.map((file) => new Request(file, { cache: "no-cache" }))))
    .then(() => worker.skipWaiting()));
});

worker.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys()
    .then((names) => Promise.all(names
      .filter((name) => name.startsWith("spyhole-") && name !== CACHE)
      .map((name) => caches.delete(name))))
    .then(() => worker.clients.claim()));
});

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  const isOurs = request.method === "GET" && origin === location.origin &&
    (pathname === "/" || pathname.startsWith("/static/"));
  if (isOurs) event.respondWith(fresh(request));
});

/** What the server has now, or what is kept of this version. @param {Request} request */
async function fresh(request) {
  const kept = await (await caches.open(CACHE)).match(request, { ignoreSearch: true });
  if (!kept) return fetch(request);
  try {
    return await Promise.race([fetch(request), late()]);
  } catch {
    return kept;
  }
}

/** @returns {Promise<never>} */
function late() {
  return new Promise((_, refuse) => setTimeout(() => refuse(new Error("late")), PATIENCE_MS));
}
