// Keeps the pages and sheets of the crew's day: what the network gives is shown and kept, and what is kept is shown
// when there is no network. It never keeps an answer to a form, and nothing longer than two days.
"use strict";

const KEPT = "crew-";
const DAYS = 2;
const today = () => KEPT + new Date().toISOString().slice(0, 10);
const VISITS = /^\/folders\/[0-9]+\/visits\//;

addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(tidy().then(() => clients.claim())));

async function tidy() {
  const oldest = KEPT + new Date(Date.now() - DAYS * 86400000).toISOString().slice(0, 10);
  const names = (await caches.keys()).filter((name) => name.startsWith(KEPT) && name < oldest);
  return Promise.all(names.map((name) => caches.delete(name)));
}

async function keepAnswer(address, answer) {
  if (!answer.ok || answer.redirected || answer.type !== "basic") return;
  await (await caches.open(today())).put(address, answer);
}

async function newestKept(address) {
  const names = (await caches.keys()).filter((name) => name.startsWith(KEPT)).sort().reverse();
  for (const name of names) {
    const found = await (await caches.open(name)).match(address);
    if (found) return found;
  }
  return undefined;
}

addEventListener("message", (event) => {
  const pages = Array.isArray(event.data?.keep) ? event.data.keep : [];
  event.waitUntil(tidy().then(() => Promise.all(pages.map(async (page) => {
    const answer = await fetch(page).catch(() => null);
    if (answer) await keepAnswer(page, answer);
    return Boolean(answer && answer.ok);
  }))).then((found) => event.source?.postMessage({ kept: found.every(Boolean) })));
});

async function networkFirst(request, address) {
  try {
    const answer = await fetch(request);
    await keepAnswer(address, answer.clone());
    return answer;
  } catch (fault) {
    const found = await newestKept(address);
    if (found) return found;
    throw fault;
  }
}

addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== location.origin) return;
  const isPage = request.mode === "navigate" || request.destination === "";
  if (isPage && !VISITS.test(address.pathname)) return;
  if (address.pathname.startsWith("/crew/")) return;
  event.respondWith(networkFirst(request, address.pathname + address.search));
});
