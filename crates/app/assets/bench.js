// The bench answers while the finger moves: one question is on its way, the
// newest waits behind it, those between are never asked. One that takes too
// long is dropped for the newest, but never two in a row. While the finger is down only maps and words
// come; numbers and charts follow when it lifts. The last answers are kept.
import { ask, shown } from "./number-pad.js";

const form = document.getElementById("bench");
const parts = [...document.querySelectorAll("[data-part]")];
const sliders = [...form.querySelectorAll(".slider")].map((box) => ({
  box,
  input: box.querySelector("input"),
  output: box.querySelector("output"),
  factor: Number(box.dataset.factor),
  offset: Number(box.dataset.offset),
  digits: Number(box.dataset.digits),
}));
const named = Object.fromEntries(sliders.map((s) => [s.input.name, s]));
const kind = form.elements.kind;
const pattern = form.elements.pattern;
const TOO_LONG_MS = 400;
const REST_MS = 300;
const MOST_KEPT = 40;
const kept = new Map();
let running = null;
let isAsked = false;
let isMoving = false;
let wasDropped = false;
let rest = 0;

form.classList.add("has-script");
const fromJob = document.querySelector(".from-job");
fromJob?.classList.add("has-script");
fromJob?.addEventListener("change", () => fromJob.requestSubmit());
form.addEventListener("submit", (event) => event.preventDefault());
for (const slider of sliders) {
  slider.input.addEventListener("input", () => { moved(); alone(slider); draw(slider); askSoon(); });
  slider.input.addEventListener("change", rested);
  upgrade(slider);
  draw(slider);
}
for (const select of form.querySelectorAll("select")) {
  select.addEventListener("change", () => { suit(select); askSoon(); });
}

// Tilt and an off-centre push are two words for one lean.
function alone(slider) {
  const other = { tilt_deg: "off_centre_pct", off_centre_pct: "tilt_deg" }[slider.input.name];
  if (other && Number(slider.input.value) > 0) set(named[other], 0);
}

function set(slider, value) {
  slider.input.value = value;
  draw(slider);
}

// The figure, the track and the mark of the usual value.
function draw(slider) {
  const { input, box, digits } = slider;
  const part = (value) => (value - input.min) / (input.max - input.min);
  const at = part(Number(input.value));
  box.style.setProperty("--at", `calc(17px + (100% - 34px) * ${at})`);
  box.style.setProperty("--usual", Math.min(1, Math.max(0, part(Number(box.dataset.usual)))));
  const text = shown(Number(input.value) * slider.factor + slider.offset, digits);
  slider.output.querySelector("b").textContent = text;
  input.setAttribute("aria-valuetext", `${text} ${box.dataset.unit}`);
}

// A figure that can be tapped to type it.
function upgrade(slider) {
  const { box, input, output, digits, factor, offset } = slider;
  const button = document.createElement("button");
  button.type = "button";
  const deed = document.createElement("span");
  deed.className = "unseen";
  deed.textContent = ` ${output.dataset.pad}`;
  button.append(...output.childNodes, deed);
  output.append(button);
  button.addEventListener("click", async () => {
    const value = await ask({
      name: box.querySelector("label").textContent,
      unit: box.dataset.unit,
      low: Number((Number(input.min) * factor + offset).toFixed(digits)),
      high: Number((Number(input.max) * factor + offset).toFixed(digits)),
      digits,
    });
    if (value === null) return;
    input.step = "any";
    set(slider, (value - offset) / factor);
    alone(slider);
    askSoon();
  });
}

// Another machine or movement has other sliders.
function suit(select) {
  if (select === kind) {
    const [low, high, usual] = kind.selectedOptions[0].dataset.speeds.split(" ");
    const speed = named.speed_rpm;
    speed.input.min = low;
    speed.input.max = high;
    speed.box.dataset.usual = usual;
    set(speed, usual);
  }
  const isRotary = kind.value === "rotary";
  const isStill = pattern.value === "still";
  for (const name of ["orbit_mm", "spin_rpm"]) named[name].box.hidden = isRotary;
  for (const name of ["arm_speed_mm_s", "overlap_pct", "passes"]) named[name].box.hidden = isStill;
  named.stay_s.box.hidden = !isStill;
}

// The finger is down until it lifts, or rests for a while.
function moved() {
  isMoving = true;
  clearTimeout(rest);
  rest = setTimeout(rested, REST_MS);
}

function rested() {
  clearTimeout(rest);
  if (!isMoving) return;
  isMoving = false;
  askSoon();
}

function askSoon() {
  form.classList.add("stale");
  isAsked = true;
  if (!running) askNow();
  else if (!running.isPatient && performance.now() - running.since > TOO_LONG_MS) running.stop.abort();
}

function question() {
  const fields = new URLSearchParams(new FormData(form));
  if (!isMoving) history.replaceState(null, "", `/bench?${fields}`);
  fields.set("map_px", Math.round(width(".map")));
  fields.set("chart_px", Math.round(width("[data-part=more]")));
  fields.set("parts", isMoving ? "moving" : "all");
  return `/bench/answer?${fields}`;
}

async function askNow() {
  isAsked = false;
  const address = question();
  const mine = { stop: new AbortController(), since: performance.now(), isPatient: wasDropped };
  running = mine;
  wasDropped = false;
  let again = 0;
  try {
    const answer = kept.get(address) ?? await fetched(address, mine.stop.signal);
    show(answer);
    form.dataset.tookMs = Math.round(performance.now() - mine.since);
    if (!isAsked && !isMoving) form.classList.remove("stale");
  } catch (error) {
    if (error.name === "AbortError") wasDropped = true;
    else again = 1000;
  }
  running = null;
  if (isAsked) askNow();
  else if (again) setTimeout(askSoon, again);
}

async function fetched(address, signal) {
  const response = await fetch(address, { headers: { accept: "application/json" }, signal });
  const answer = await response.json();
  if (!response.ok) return { error: answer.error };
  kept.set(address, answer);
  if (kept.size > MOST_KEPT) kept.delete(kept.keys().next().value);
  return answer;
}

function show(answer) {
  for (const part of parts) {
    const text = answer.parts?.[part.dataset.part];
    if (text !== undefined) part.innerHTML = text;
    else if (answer.error && part.dataset.part === "said") part.textContent = answer.error;
  }
}

function width(selector) {
  return form.querySelector(selector).clientWidth;
}

askSoon();
