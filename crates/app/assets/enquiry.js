// Every tap asks anew; the last figure stays, greyed, until the next.
const form = document.getElementById("enquiry");
let running = null;

form.classList.add("has-script");
form.addEventListener("change", async () => {
  running?.abort();
  const mine = running = new AbortController();
  const fields = new URLSearchParams(new FormData(form));
  for (const key of ["edit", "saw", "name", "car"]) fields.delete(key);
  form.classList.add("stale");
  try {
    const response = await fetch(`/enquiry?${fields}`, { headers: { accept: "text/html" }, signal: mine.signal });
    if (!response.ok) return;
    const fresh = new DOMParser().parseFromString(await response.text(), "text/html");
    for (const id of ["figure", "more"]) {
      const part = document.getElementById(id);
      const newer = fresh.getElementById(id);
      part.innerHTML = newer.innerHTML;
    }
    history.replaceState(null, "", `/enquiry?${fields}`);
    form.classList.remove("stale");
  } catch (error) {
    if (error.name !== "AbortError") form.classList.remove("stale");
  }
});
