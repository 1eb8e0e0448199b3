// A tap on a panel of the flat car chooses it in the form.
// Every form of the page with a panel follows, the photo's too.
const chosen = document.querySelector("main [name=panel]");

document.addEventListener("click", (event) => {
  const panel = event.target.closest("#car [data-panel]");
  if (!panel || !chosen) return;
  for (const list of document.querySelectorAll("main select[name=panel]")) list.value = panel.dataset.panel;
  chosen.dispatchEvent(new Event("change", { bubbles: true }));
});

if (chosen) for (const news of ["change", "renewed", "filled"]) document.addEventListener(news, ring);

function ring() {
  for (const panel of document.querySelectorAll("#car [data-panel]")) {
    panel.classList.toggle("chosen", panel.dataset.panel === chosen.value);
  }
}

if (chosen) ring();
