// Writes down without a signal: what is sent is first kept on the phone, with its time and a mark of its own, and then
// delivered in its order. The server keeps each mark once, so an entry whose answer was lost is sent again without harm.
"use strict";

const box = document.getElementById("queue");
const TIMEOUT = 15000;
const TRIES = 3;  // after so many answers that are neither a yes nor a no, somebody is told
const TICKS = /\/entries\/(?:un)?tick\/$/;
const ACTS = /\/entries\/(?:hold|done|undone)\/$/;

const opened = new Promise((resolve, reject) => {
  const asked = indexedDB.open("crew", 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore("entries", { keyPath: "once" });
  asked.onsuccess = () => resolve(asked.result);
  asked.onerror = () => reject(asked.error);
});

async function inStore(mode, act) {
  const database = await opened;
  return new Promise((resolve, reject) => {
    const change = database.transaction("entries", mode, { durability: "strict" });
    const asked = act(change.objectStore("entries"));
    change.oncomplete = () => resolve(asked.result);
    change.onerror = change.onabort = () => reject(change.error);
  });
}

const kept = async () => (await inStore("readonly", (store) => store.getAll())).sort((a, b) => a.order - b.order);

const mark = () => crypto.randomUUID
  ? crypto.randomUUID()
  : "10000000-1000-4000-8000-100000000000".replace(/[018]/g, (c) =>
    (c ^ (crypto.getRandomValues(new Uint8Array(1))[0] & (15 >> (c / 4)))).toString(16));

function fields(form) {
  const body = new URLSearchParams(new FormData(form));
  body.delete("csrfmiddlewaretoken");
  return body;
}

// What the office answered to something that didn't fit the days any more; it stands on the visit's page as well.
const said = [];

let order = 0;
async function keep(form) {
  const body = fields(form);
  const once = mark();
  const now = new Date();
  body.set("once", once);
  body.set("made_at", now.toISOString());
  order = Math.max(order + 1, now.getTime());
  const entry = { once, order, url: new URL(form.action).pathname, body: body.toString(), user: box.dataset.user, fault: "", tries: 0 };
  const corrected = form.dataset.replaces;
  await inStore("readwrite", (store) => {
    if (corrected) store.delete(corrected);
    return store.put(entry);
  });
  delete form.dataset.replaces;
}

// An entry that somebody has thrown away meanwhile stays away.
const note = (entry) => inStore("readwrite", (store) => {
  const asked = store.get(entry.once);
  asked.onsuccess = () => { if (asked.result) store.put(entry); };
  return asked;
});

async function post(entry, token) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), TIMEOUT);
  try {
    return await fetch(entry.url, {
      method: "POST",
      redirect: "error",
      headers: { Accept: "application/json", "Content-Type": "application/x-www-form-urlencoded", "X-CSRFToken": token },
      body: entry.body,
      signal: stop.signal,
    });
  } finally {
    clearTimeout(timer);
  }
}

async function freshToken() {
  const answer = await fetch(box.dataset.token, { redirect: "error", cache: "no-store", headers: { Accept: "application/json" } });
  return answer.ok ? answer.json() : null;
}

// An entry that the office's machine fails on holds nothing else up: it is kept, and tried again with the next round.
// Only holds and ends of one visit keep their order among themselves, since the days follow from it.
async function deliver() {
  let sent = 0;
  const failing = new Set();
  for (const entry of await kept()) {
    const act = ACTS.test(entry.url) ? entry.url.split("/entries/")[0] : "";
    if (entry.fault || entry.user !== box.dataset.user || failing.has(act)) continue;
    try {
      const signed = await freshToken();
      if (!signed || signed.user !== entry.user) break;
      const answer = await post(entry, signed.token);
      if (answer.ok) {
        const told = await answer.json();
        if (told.said) said.push(told.said);
        await inStore("readwrite", (store) => store.delete(entry.once));
        sent += 1;
      } else if (answer.status === 422 || answer.status === 404) {
        entry.fault = answer.status === 422 ? (await answer.json()).fault : "404";
        await note(entry);
      } else {
        entry.tries = (entry.tries || 0) + 1;
        entry.status = answer.status;
        if (act) failing.add(act);
        await note(entry);
      }
    } catch {
      break;
    }
  }
  await show();
  if (sent) await refresh();
}

let busy = false;
let again = false;
async function flush() {
  if (!box) return;
  if (busy) { again = true; return; }
  busy = true;
  try {
    do {
      again = false;
      await (navigator.locks ? navigator.locks.request("crew-queue", deliver) : deliver());
    } while (again);
  } finally {
    busy = false;
  }
}

// What was written, as somebody reads it: the kind, and what was typed.
function told(entry) {
  const body = new URLSearchParams(entry.body);
  const kind = entry.url.split("/").at(-2);
  const typed = [...body].filter(([name, value]) => value && !["once", "made_at", "seen", "step", "who", "unit", "material"].includes(name))
    .map(([name, value]) => name === "place" ? value.split("|")[1] || "" : value).filter(Boolean);
  return `${JSON.parse(box.dataset.kinds)[kind] || kind}: ${[...new Set(typed)].join(", ")}`;
}

// Set anew only where something changed: somebody may be about to press a button there.
function listed(part, entries, says) {
  part.hidden = !entries.length;
  const shown = entries.map((entry) => entry.once + says(entry)).join();
  if (part.dataset.shown === shown) return;
  part.dataset.shown = shown;
  part.querySelector("ul").replaceChildren(...entries.map((entry) => {
    const row = box.querySelector("template").content.cloneNode(true);
    const item = row.querySelector("li");
    item.dataset.once = entry.once;
    item.querySelector("span").textContent = says(entry);
    item.querySelector("[data-act=correct]").hidden = !entry.fault || TICKS.test(entry.url) || (samePage(entry) && !formFor(entry));
    return row;
  }));
}

async function show() {
  const entries = (await kept()).filter((entry) => entry.user === box.dataset.user);
  const waiting = entries.filter((entry) => !entry.fault);
  const part = (name) => box.querySelector(`[data-says="${name}"]`);
  part("no-signal").hidden = navigator.onLine && !waiting.length;
  part("waiting").hidden = !waiting.length;
  part("waiting").querySelector("b").textContent = waiting.length;
  listed(part("stuck"), waiting.filter((entry) => entry.tries >= TRIES), (entry) => `${told(entry)} (${entry.status})`);
  listed(part("refused"), entries.filter((entry) => entry.fault), (entry) => `${told(entry)}. ${entry.fault}`);
  part("said").hidden = !said.length;
  part("said").textContent = said.join(" ");
  box.hidden = navigator.onLine && !entries.length && !said.length;
}

const visitOf = (entry) => `${entry.url.split("/entries/")[0]}/`;
const samePage = (entry) => location.pathname === visitOf(entry);

// The blanks in which an entry was written: the form to its address whose fixed fields are the same.
function formFor(entry) {
  const body = new URLSearchParams(entry.body);
  return [...document.querySelectorAll("form[data-queue]")].find((form) => new URL(form.action).pathname === entry.url
    && [...form.elements].some((blank) => blank.name && blank.type !== "hidden")
    && [...form.querySelectorAll("input[type=hidden]")].every((fixed) =>
      ["once", "csrfmiddlewaretoken", "seen", "made_at"].includes(fixed.name) || body.get(fixed.name) === fixed.value));
}

// Back into its blanks; the refused entry goes away with the keeping of the corrected one.
function correct(entry) {
  const form = formFor(entry);
  if (!form) { location.assign(`${visitOf(entry)}#correct-${entry.once}`); return; }
  const body = new URLSearchParams(entry.body);
  for (const blank of form.elements) {
    if (!blank.name || blank.type === "hidden") continue;
    if (blank.type === "checkbox" || blank.type === "radio") blank.checked = body.getAll(blank.name).includes(blank.value);
    else blank.value = body.get(blank.name) ?? "";
  }
  form.dataset.replaces = entry.once;
  const fold = form.closest("details");
  if (fold) fold.open = true;
  [...form.elements].find((blank) => blank.matches("input:not([type=hidden]), textarea, select"))?.focus();
}

async function correctByAddress() {
  const once = /^#correct-(.+)$/.exec(location.hash)?.[1];
  const entry = once && (await kept()).find((each) => each.once === once && each.fault);
  if (entry && formFor(entry)) { history.replaceState(null, "", location.pathname); correct(entry); }
}

box?.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-act]");
  if (!button) return;
  const once = button.closest("li").dataset.once;
  if (button.dataset.act === "correct") {
    const entry = (await kept()).find((each) => each.once === once);
    if (entry) correct(entry);
  } else if (button.dataset.sure) {  // asked once before it is gone for good
    button.querySelector("span").textContent = button.dataset.sure;
    delete button.dataset.sure;
  } else {
    await inStore("readwrite", (store) => store.delete(once));
    await show();
  }
});

// What was delivered shows on the page; blanks that somebody is filling in stay as they are.
async function refresh() {
  const answer = await fetch(location.pathname, { headers: { Accept: "text/html" } }).catch(() => null);
  if (!answer || !answer.ok || answer.redirected) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  document.querySelector("header.tb").replaceWith(page.querySelector("header.tb"));
  for (const section of document.querySelectorAll("main section[aria-labelledby]")) {
    const typed = [...section.querySelectorAll("input:not([type=hidden]), textarea")].some((blank) => blank.value !== blank.defaultValue);
    const fresh = page.querySelector(`main section[aria-labelledby="${section.getAttribute("aria-labelledby")}"]`);
    if (fresh && !typed && !section.contains(document.activeElement)) section.replaceWith(fresh);
  }
}

// The answer is chosen among those that the server worked out: less than low, between, more than high.
function answer(form) {
  const text = form.elements.amount.value.trim();
  const found = /^([0-9]+(?:\.[0-9]+)?)(?:\s*(\S+))?$/.exec(text);
  const plain = found && (!found[2] || found[2] === form.dataset.unit);
  const used = plain ? Number(found[1]) : NaN;
  const word = used < Number(form.dataset.low) ? "too-thin" : used > Number(form.dataset.high) ? "too-thick" : "right";
  for (const each of form.querySelectorAll("[data-answer]")) each.hidden = Number.isNaN(used) || each.dataset.answer !== word;
  const before = form.querySelector(".now");
  if (before) before.hidden = true;
}

document.addEventListener("input", (event) => {
  const form = event.target.closest("form[data-guard]");
  if (form && event.target.name === "amount") answer(form);
});

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!box || !form.matches("form[data-queue]")) return;
  event.preventDefault();
  if (form.dataset.sending) return;
  form.dataset.sending = "1";
  try {
    await keep(form);
  } catch {
    form.submit();
    return;
  }
  if (form.matches("[data-guard]")) {
    answer(form);
    form.elements.amount.defaultValue = form.elements.amount.value;
    form.elements.lot.defaultValue = form.elements.lot.value;
  } else if (form.matches("[data-boxes]")) {
    for (const blank of form.querySelectorAll("input:not([type=hidden])")) blank.defaultValue = blank.value;
    for (const note of form.querySelectorAll("[data-kept-here]")) note.hidden = false;
  } else if (form.matches("[data-tick]")) {
    form.querySelector(".tickbig").classList.add("ticked");
    form.querySelector(".mark").textContent = "✓";
  } else {
    form.reset();
    for (const blank of form.querySelectorAll("input:not([type=hidden], [type=date], [type=checkbox]), textarea")) blank.value = blank.defaultValue = "";
    for (const note of form.querySelectorAll("[data-kept-here]")) note.hidden = false;
  }
  document.activeElement?.blur();
  await show();
  if (!form.matches("[data-tick]")) delete form.dataset.sending;
  flush();
});

// A page that was kept for a day without signal counts the hours since washing on.
function countOn() {
  for (const blank of document.querySelectorAll("input[data-since]")) {
    const hours = Math.floor((Date.now() - Date.parse(blank.dataset.since)) / 3600000);
    if (blank.value === blank.defaultValue && blank.value !== "" && hours >= 0) blank.value = blank.defaultValue = String(hours);
  }
}

if (box) {
  countOn();
  show().then(correctByAddress).then(flush);
  addEventListener("online", flush);
  addEventListener("offline", show);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) { countOn(); flush(); } });
  setInterval(flush, 30000);
}

// The pages and sheets of the day are kept for when there is no signal.
if (box && "serviceWorker" in navigator) {
  navigator.serviceWorker.addEventListener("message", (event) => {
    const says = document.getElementById("kept");
    if (says) says.hidden = !event.data?.kept;
  });
  navigator.serviceWorker.register(box.dataset.worker, { scope: "/folders/" }).then(() => navigator.serviceWorker.ready).then((found) => {
    const pages = [location.pathname, ...[...document.querySelectorAll("a[data-keep]")].map((link) => link.pathname)];
    const parts = performance.getEntriesByType("resource").map((each) => new URL(each.name))
      .filter((each) => each.origin === location.origin && !each.pathname.startsWith("/crew/") && !each.pathname.includes("/entries/")).map((each) => each.pathname + each.search);
    found.active.postMessage({ keep: [...new Set([...pages, ...parts])] });
  }).catch(() => {});
}
