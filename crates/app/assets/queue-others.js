// What someone else entered on this device and what can be done with it: they
// sign in again, or who is signed in now takes it over, asked once more.
import { whoHere } from "./who.js";

const place = document.querySelector(".queue.others");

export function drawOthers(deeds, takeOver) {
  if (!place) return;
  const people = new Map();
  for (const deed of deeds) people.set(deed.by.id, [...(people.get(deed.by.id) ?? []), deed]);
  const drawn = [whoHere()?.id, ...deeds.map((deed) => deed.no)].join(" ");
  place.hidden = people.size === 0;
  if (place.dataset.drawn === drawn) return;
  place.dataset.drawn = drawn;
  place.replaceChildren(...[...people.values()].map((of) => linesOf(of, takeOver)));
}

function linesOf(deeds, takeOver) {
  const name = deeds[0].by.name || place.dataset.someone;
  const { id, name: me } = whoHere();
  const make = (kind, props) => Object.assign(document.createElement(kind), props);
  const words = make("p", { textContent: filled(place.dataset.said, name, deeds.length) });
  const door = make("a", {
    className: "button quiet",
    href: `/sign-in?to=${encodeURIComponent(location.pathname + location.search)}`,
    textContent: filled(place.dataset.signIn, name),
  });
  const take = make("button", { type: "button", className: "quiet take", textContent: filled(place.dataset.take, me) });
  take.addEventListener("click", () => {
    if (take.dataset.asked) return takeOver(deeds, id);
    take.dataset.asked = "yes";
    take.parentElement.before(make("p", { className: "caution", role: "alert", textContent: filled(place.dataset.ask, me, name) }));
    take.textContent = place.dataset.yes;
  });
  const ways = make("div", { className: "deeds" });
  ways.append(door, take);
  const all = make("div");
  all.append(words, ways);
  return all;
}

// A part is put in as it is and not looked through again.
function filled(text, ...parts) {
  return text.replace(/\{(\d)\}/g, (_, at) => parts[at]);
}
