// The form works without this file. With it photographs go one by one, each with its answer beside its name, and one that was
// not sent for want of a signal can be sent again without the others.
"use strict";

const SILENCE = 90000; // milliseconds, longer than the server takes for the largest photograph

for (const form of document.querySelectorAll("form[data-photos]")) {
  const input = form.querySelector("input[type=file]");
  const button = form.querySelector("button[type=submit]");
  const box = form.querySelector(".sending");
  const said = form.querySelector("[data-said]");
  const bar = form.querySelector("progress");
  const list = form.querySelector("[data-sent]");
  let left = [];
  let refused = 0;

  const note = (name, words) => {
    const line = document.createElement("li");
    const bold = document.createElement("b");
    bold.textContent = name;
    const fault = document.createElement("span");
    fault.className = "fault";
    fault.textContent = words;
    line.className = "refused";
    line.append(bold, ": ", fault);
    list.append(line);
  };

  const send = (file, onProgress) => new Promise((resolve) => {
    const body = new FormData(form);
    body.delete(input.name);
    body.append(input.name, file, file.name);
    const request = new XMLHttpRequest();
    request.open("POST", form.action || location.href);
    request.setRequestHeader("HX-Request", "true");
    // A signal that is lost is not always an error to the browser: after a while of silence the photograph counts as not
    // sent. Should it have arrived after all, sending it again keeps it once.
    let silence = 0;
    const heard = () => {
      clearTimeout(silence);
      silence = setTimeout(() => request.abort(), SILENCE);
    };
    const end = (answer) => {
      clearTimeout(silence);
      resolve(answer);
    };
    request.upload.onprogress = (event) => {
      heard();
      onProgress(event.loaded);
    };
    request.onload = () => end(request.status === 200 ? request.responseText : null);
    request.onerror = request.onabort = () => end(null);
    heard();
    request.send(body);
  });

  form.addEventListener("submit", async (event) => {
    const files = left.length ? left : [...input.files];
    if (!files.length) return;
    event.preventDefault();
    const all = files.reduce((sum, file) => sum + file.size, 0) || 1;
    let done = 0;
    left = [];
    button.disabled = true;
    box.hidden = false;
    for (const line of list.querySelectorAll("[data-again]")) line.remove();
    for (const [place, file] of files.entries()) {
      said.textContent = `${place + 1} of ${files.length}: ${file.name}`;
      const answer = await send(file, (loaded) => { bar.value = Math.min((done + loaded) / all, 1); });
      done += file.size;
      bar.value = done / all;
      if (answer === null) {
        left.push(file);
        note(file.name, "not sent. It is kept here: try again.");
        list.lastElementChild.dataset.again = "";
      } else {
        list.insertAdjacentHTML("beforeend", answer);
        if (list.lastElementChild.classList.contains("refused")) refused += 1;
      }
    }
    button.disabled = false;
    if (left.length) {
      said.textContent = `${left.length} of ${files.length} not sent.`;
      button.textContent = "Send the rest again";
    } else if (refused) {
      said.textContent = "The others are kept. They stand below when the page is loaded anew.";
      button.textContent = "Send them";
      input.value = "";
    } else {
      location.assign(form.dataset.next);
    }
  });
}
