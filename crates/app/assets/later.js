// Parts that take seconds: the page is there at once, they follow. What stood
// there before stays, greyed, until the new part has come.

const running = new Map();

async function fill(place, target) {
  running.get(place)?.abort();
  const mine = new AbortController();
  running.set(place, mine);
  target.classList.add("stale");
  try {
    const response = await fetch(place.dataset.later, { headers: { accept: "text/html" }, signal: mine.signal });
    const text = await response.text();
    if (mine !== running.get(place)) return;
    const fresh = new DOMParser().parseFromString(text, "text/html");
    const fault = response.ok ? null : fresh.querySelector(".fault");
    target.replaceChildren(...(fault ? [fault] : fresh.body.childNodes));
    target.classList.remove("stale");
    place.dispatchEvent(new CustomEvent("filled", { bubbles: true }));
  } catch (error) {
    if (error.name !== "AbortError") setTimeout(() => { if (running.get(place) === mine) fill(place, target); }, 3000);
  }
}

for (const place of document.querySelectorAll("section[data-later]")) {
  if (!place.dataset.isReady) fill(place, place);
}
// A panel's map comes when its line is opened.
document.addEventListener("toggle", (event) => {
  const place = event.target;
  if (place.matches?.("details[data-later]") && place.open && !running.has(place)) fill(place, place.querySelector("[data-part]"));
}, true);
// Another device changed the job: work it out anew.
document.addEventListener("renewed", (event) => {
  if (!event.detail?.changed) return;
  for (const place of document.querySelectorAll("section[data-later]")) fill(place, place);
});
