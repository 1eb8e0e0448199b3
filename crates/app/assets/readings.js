// The panel drawn from the front, where a tap says where the gauge stands;
// large keys for its figure. After a reading the field is empty again.
const form = document.querySelector(".reading-form");
const figure = form.elements.thickness;
const panel = form.elements.panel;
const place = form.querySelector("[data-panel-drawing]");
const point = document.documentElement.lang === "de" ? "," : ".";
const keys = form.querySelector(".pad-keys");
let asked = 0;

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

// The drawing comes at once, the next place to read when it is worked out.
async function draw(wait) {
  const mine = wait ? asked : ++asked;
  const question = new URLSearchParams({ panel: panel.value });
  if (wait) question.set("wait", "yes");
  try {
    const response = await fetch(`${place.dataset.panelDrawing}?${question}`, { headers: { accept: "text/html" } });
    if (mine !== asked || !response.ok) return;
    const fresh = new DOMParser().parseFromString(await response.text(), "text/html");
    if (mine !== asked) return;
    place.replaceChildren(...fresh.body.childNodes);
    ring();
    if (place.firstElementChild?.dataset.isOpen && !wait) draw(true);
  } catch { /* without a network the last drawing stays */ }
}

function ends() {
  const drawn = place.querySelector("figure");
  const [left, bottom, right, top] = ["left", "bottom", "right", "top"].map((side) => Number(drawn.dataset[side]));
  return { left, bottom, right, top, drawn };
}

place.addEventListener("click", (event) => {
  const chosen = event.target.closest("[data-choose]")?.dataset.choose;
  if (chosen) {
    panel.value = chosen;
    panel.dispatchEvent(new Event("change", { bubbles: true }));
    return;
  }
  const svg = event.target.closest("svg");
  if (!svg) return;
  const { left, bottom, right, top } = ends();
  const next = event.target.closest(".next-place");
  const face = svg.querySelector(".face").getBoundingClientRect();
  const share = (at, from, size) => Math.min(1, Math.max(0, (at - from) / size));
  const u = left + (right - left) * share(event.clientX, face.left, face.width);
  const v = top - (top - bottom) * share(event.clientY, face.top, face.height);
  form.elements.u_mm.value = next ? next.dataset.u : Math.round(u);
  form.elements.v_mm.value = next ? next.dataset.v : Math.round(v);
  ring();
});

// Where the gauge stands, on the drawing and in words.
function ring() {
  const { left, bottom, right, top, drawn } = ends();
  const [u, v] = [form.elements.u_mm.value, form.elements.v_mm.value];
  const svg = drawn.querySelector("svg");
  svg.querySelector(".place")?.remove();
  if (u === "" || v === "") return;
  const face = svg.querySelector(".face");
  const mark = document.createElementNS("http://www.w3.org/2000/svg", "circle");
  mark.setAttribute("class", "place");
  mark.setAttribute("cx", face.getAttribute("width") * (u - left) / (right - left));
  mark.setAttribute("cy", face.getAttribute("height") * (top - v) / (top - bottom));
  mark.setAttribute("r", 9);
  svg.append(mark);
  const words = drawn.querySelector(".where-now");
  const told = (mm) => `${(mm * drawn.dataset.unitMm).toFixed(drawn.dataset.digits).replace(".", point)}\u00a0${words.dataset.unit}`;
  words.textContent = words.dataset.words.replace("{0}", told(u)).replace("{1}", told(v));
}

panel.addEventListener("change", () => {
  form.elements.u_mm.value = "";
  form.elements.v_mm.value = "";
  draw(false);
});
document.addEventListener("renewed", () => draw(false));
draw(false);
