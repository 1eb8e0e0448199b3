// A tap on a panel of the flat car chooses it in the form, with its place.
const chosen = document.querySelector("main [name=panel]");

document.addEventListener("click", (event) => {
  const panel = event.target.closest("#car [data-panel]");
  if (!panel || !chosen) return;
  chosen.value = panel.dataset.panel;
  const box = panel.getBoundingClientRect();
  const share = (at, from, size) => Math.min(1, Math.max(0, (at - from) / size)).toFixed(3);
  const { u, v } = chosen.form.elements;
  if (u && v) {
    u.value = share(event.clientX, box.left, box.width);
    v.value = share(event.clientY, box.top, box.height);
    dot(panel, event);
  }
  ring();
});

chosen?.addEventListener("change", ring);
document.addEventListener("renewed", ring);

function ring() {
  for (const panel of document.querySelectorAll("#car [data-panel]")) {
    panel.classList.toggle("chosen", panel.dataset.panel === chosen.value);
  }
}

// Where the gauge stood.
function dot(panel, event) {
  const svg = panel.ownerSVGElement;
  svg.querySelector(".place")?.remove();
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const mark = document.createElementNS("http://www.w3.org/2000/svg", "circle");
  mark.setAttribute("class", "place");
  mark.setAttribute("cx", at.x);
  mark.setAttribute("cy", at.y);
  mark.setAttribute("r", 6);
  svg.append(mark);
}

if (chosen) ring();
