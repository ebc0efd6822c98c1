// Keeps lists that were opened, and what they are dressed with, for when there is no signal. It answers for nothing
// else: its scope is /lists/, and of what that asks for only pages of lists and our own files.
"use strict";

const PAGES = "lists-pages", FILES = "lists-files";
const PATIENCE = 5000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

const later = (pause) => new Promise((resolve) => { setTimeout(resolve, pause); });

const freshOrKept = async (event, request, path) => {
  const kept = caches.open(PAGES).then((pages) => pages.match(path));
  const asked = fetch(request).then(async (answer) => {
    if (answer.status === 200 && answer.type === "basic" && !answer.redirected) {
      await (await caches.open(PAGES)).put(path, answer.clone());
    }
    return answer;
  });
  event.waitUntil(asked.catch(() => null));
  const held = await kept;
  if (!held) { return asked; }
  // A signal that is too weak to answer is none.
  return (await Promise.race([asked.catch(() => null), later(PATIENCE)])) || held;
};

// What a code on paper asks for leads to the list that was opened last for those jobs.
const codeOrKept = async (request, asked) => {
  try { return await fetch(request); } catch (error) {
    const leads = await (await caches.open(PAGES)).match(asked);
    if (!leads) { throw error; }
    return Response.redirect(await leads.text());
  }
};

const keptFile = async (request) => {
  const files = await caches.open(FILES);
  // The address names the content, but for what comes with a package.
  const held = await files.match(request);
  if (held && new URL(request.url).search) { return held; }
  try {
    const answer = await fetch(request);
    if (answer.status === 200) { await files.put(request, answer.clone()); }
    return answer;
  } catch (error) {
    if (held) { return held; }
    throw error;
  }
};

self.addEventListener("fetch", (event) => {
  const request = event.request, address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) { return; }
  if (address.pathname.startsWith("/static/")) { event.respondWith(keptFile(request)); }
  if (/^\/lists\/[0-9]+$/.test(address.pathname) && !address.search) {
    event.respondWith(freshOrKept(event, request, address.pathname));
  }
  if (address.pathname === "/lists/for") { event.respondWith(codeOrKept(request, address.pathname + address.search)); }
});
