// The slider says at once what a wish costs, from the rows the server worked
// out; a field of the pairs opens the pad of large keys.
import { ask, decimal } from "./number-pad.js";

document.addEventListener("input", (event) => {
  if (event.target.id === "wish") show(event.target);
});

function show(slider) {
  const rows = [...document.querySelectorAll("#rows tbody tr")];
  const row = rows.find((r) => Number(r.dataset.pct) >= Number(slider.value));
  const cost = document.querySelector(".wish-cost");
  cost.textContent = row ? row.querySelector("td").textContent : cost.dataset.none;
  document.querySelector("output[for=wish] b").textContent = slider.value;
}

for (const field of document.querySelectorAll("[data-pad]")) {
  if (!matchMedia("(pointer: coarse)").matches) continue;
  field.inputMode = "none";
  field.addEventListener("click", async () => {
    const value = await ask({
      name: field.dataset.pad,
      unit: field.dataset.unit,
      low: 0,
      high: Number(field.dataset.high),
      digits: Number(field.dataset.digits),
      hint: field.dataset.unit,
    });
    if (value !== null) field.value = String(value).replace(".", decimal);
  });
}
// Another machine has another usual speed.
const machine = document.querySelector("select[name=machine]");
machine?.addEventListener("change", () => {
  const usual = machine.selectedOptions[0]?.dataset.rpm;
  if (usual) machine.form.elements.speed_rpm.value = usual;
});
