// Draws a signature with finger, pen or mouse and puts it, black on nothing, into the form. The page works without it: the typed name signs.
"use strict";

const blank = document.getElementById("drawing");
const sheet = blank && blank.querySelector("canvas");
const field = document.querySelector("input[name=signature]");

if (sheet && field) {
  const strokes = [];
  const scale = () => sheet.width / sheet.getBoundingClientRect().width;

  const draw = (pen, colour) => {
    pen.clearRect(0, 0, sheet.width, sheet.height);
    pen.strokeStyle = colour;
    pen.lineWidth = 4;
    pen.lineCap = pen.lineJoin = "round";
    for (const stroke of strokes) {
      pen.beginPath();
      pen.moveTo(stroke[0].x, stroke[0].y);
      for (const point of stroke) pen.lineTo(point.x, point.y);
      pen.stroke();
    }
  };
  const show = () => draw(sheet.getContext("2d"), getComputedStyle(sheet).color);
  const place = (event) => {
    const box = sheet.getBoundingClientRect();
    return { x: (event.clientX - box.left) * scale(), y: (event.clientY - box.top) * scale() };
  };
  const keep = () => {
    if (!strokes.length) { field.value = ""; return; }
    const copy = document.createElement("canvas");
    copy.width = sheet.width;
    copy.height = sheet.height;
    draw(copy.getContext("2d"), "#000");
    field.value = copy.toDataURL("image/png");
  };

  let drawing = false;
  sheet.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    sheet.setPointerCapture(event.pointerId);
    drawing = true;
    strokes.push([place(event)]);
    show();
  });
  sheet.addEventListener("pointermove", (event) => {
    if (!drawing) return;
    strokes[strokes.length - 1].push(place(event));
    show();
  });
  for (const name of ["pointerup", "pointercancel"]) {
    sheet.addEventListener(name, () => { if (drawing) { drawing = false; keep(); } });
  }
  document.getElementById("wipe").addEventListener("click", () => { strokes.length = 0; show(); keep(); });
  blank.hidden = false;
  field.value = "";
}
