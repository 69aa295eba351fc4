// The page works without this file. It does two things that a style sheet can't.
"use strict";

// On a sheet the sums of one row are compared: opening one opens its neighbours, so that no white space is left beside it.
document.addEventListener("toggle", (event) => {
  const sum = event.target;
  const row = sum instanceof HTMLDetailsElement && sum.classList.contains("work") && sum.closest(".options > * > tr");
  if (!row || !window.matchMedia("(min-width: 56.01rem)").matches) return;
  for (const other of row.querySelectorAll("details.work")) other.open = sum.open;
}, true);

// A live figure that could not be brought up to date says so at the top of the page; what was typed stays in its blank.
const notSent = () => document.getElementById("not-sent");
for (const name of ["htmx:sendError", "htmx:timeout", "htmx:responseError"]) {
  document.addEventListener(name, (event) => {
    const signedOut = event.detail.xhr?.status === 401 && document.getElementById("signed-out");
    const line = signedOut || notSent();
    if (line) line.hidden = false;
  });
}
document.addEventListener("htmx:afterOnLoad", () => { if (notSent()) notSent().hidden = true; });
