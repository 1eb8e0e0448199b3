// Keeps the shell and the pages that were opened, for a bay without a network.
//
// Files carry a mark of their content and are taken from the device first.
// Pages are fetched anew whenever the network answers within four seconds;
// else the last one seen stands in, marked so that it can say it is old.
// Deeds are not touched: the open page queues and sends them itself.

const SHELL = `shell-${MARK}`;
const PAGES = "pages-1";
const PATIENCE_MS = 4000;
const MOST_PAGES = 120;

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const shell = await caches.open(SHELL);
    await shell.addAll([...FILES, "/offline"]);
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const names = await caches.keys();
    await Promise.all(names.filter((n) => n !== SHELL && n !== PAGES).map((n) => caches.delete(n)));
    await self.clients.claim();
  })());
});

// Whoever leaves the device takes the pages along: {forget: true}.
self.addEventListener("message", (event) => {
  if (event.data?.forget) event.waitUntil(caches.delete(PAGES));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== location.origin) return;
  if (address.pathname.startsWith("/assets/")) event.respondWith(file(request));
  else if (isPage(request, address)) event.respondWith(page(request, event));
});

function isPage(request, address) {
  if (address.pathname.endsWith("/events") || address.pathname.startsWith("/api/")) return false;
  return request.mode === "navigate" || (request.headers.get("accept") ?? "").startsWith("text/html");
}

async function file(request) {
  return (await caches.match(request)) ?? fetch(request);
}

async function page(request, event) {
  const coming = fetch(request);
  event.waitUntil(coming.then((response) => keep(request, response.clone())).catch(() => {}));
  try {
    return await within(coming, PATIENCE_MS);
  } catch {
    const pages = await caches.open(PAGES);
    const seen = await pages.match(request.url);
    if (seen) return seen;
    return coming.catch(async () =>
      request.mode === "navigate" ? await caches.match("/offline") : Response.error());
  }
}

function within(promise, ms) {
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error("late")), ms);
    promise.then(resolve, reject).finally(() => clearTimeout(late));
  });
}

async function keep(request, response) {
  if (!response.ok || response.redirected || !(response.headers.get("content-type") ?? "").startsWith("text/html")) return;
  const pages = await caches.open(PAGES);
  await pages.put(request.url, response);
  const kept = await pages.keys();
  await Promise.all(kept.slice(0, Math.max(0, kept.length - MOST_PAGES)).map((old) => pages.delete(old)));
}
