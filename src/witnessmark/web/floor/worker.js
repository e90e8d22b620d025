/*
 * The service worker of the notebook: hands out the page and its files when no server answers.
 * The server puts `const SHELL = {version, page, files}` above these lines. A classic script, since
 * not every browser runs modules here.
 */
/* global SHELL */

const NAME = `floor-${SHELL.version}`;
const NOTEBOOK = /^\/floor\/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}\/$/;

self.addEventListener("install", (event) => {
  event.waitUntil(keepShell().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOld().then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  if (request.mode === "navigate" && NOTEBOOK.test(address.pathname)) {
    event.respondWith(kept(SHELL.page, request));
  } else if (SHELL.files.includes(address.pathname)) {
    event.respondWith(kept(address.pathname, request));
  }
});

async function keepShell() {
  const cache = await caches.open(NAME);
  const wanted = [SHELL.page, ...SHELL.files];
  await cache.addAll(wanted.map((address) => new Request(address, { cache: "reload" })));
}

async function dropOld() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith("floor-") && name !== NAME);
  await Promise.all(old.map((name) => caches.delete(name)));
}

async function kept(address, request) {
  const cache = await caches.open(NAME);
  return (await cache.match(address)) ?? fetch(request);
}
