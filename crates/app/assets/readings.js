// Large keys for the gauge's figure; after a reading the field is empty again.
const form = document.querySelector(".reading-form");
const figure = form.elements.thickness;
const point = document.documentElement.lang === "de" ? "," : ".";
const keys = form.querySelector(".pad-keys");

keys.hidden = false;
keys.querySelector("[data-key='.']").textContent = point;
if (matchMedia("(pointer: coarse)").matches) figure.inputMode = "none";

keys.addEventListener("click", (event) => {
  const key = event.target.closest("[data-key]")?.dataset.key;
  if (!key) return;
  if (key === "delete") figure.value = figure.value.slice(0, -1);
  else if (key === ".") { if (!figure.value.includes(point)) figure.value += point; }
  else if (figure.value.length < 7) figure.value += key;
});
form.addEventListener("kept", () => { figure.value = ""; });
