// Countdowns tick from the moments that the job says, by the server's clock.
const shifts = new Map();

function tick() {
  for (const card of document.querySelectorAll(".countdowns li")) {
    const { laid, now, level, open, soon, due, past } = card.dataset;
    if (!shifts.has(now)) shifts.set(now, Date.now() - Number(now));
    const seconds = (Date.now() - shifts.get(now) - Number(laid)) / 1000;
    const [words, left, state] = seconds < level ? [soon, level - seconds, "soon"]
      : seconds < open ? [due, open - seconds, "due"] : [past, seconds - open, "past"];
    const whole = Math.max(0, state === "past" ? Math.floor(left) : Math.ceil(left));
    card.dataset.state = state;
    card.querySelector(".state").textContent = words;
    card.querySelector(".count").textContent = `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
  }
}

let awake = null;
async function stayAwake() {
  const isRunning = document.querySelector(".countdowns li") !== null;
  if (isRunning && !awake && document.visibilityState === "visible") {
    awake = await navigator.wakeLock?.request("screen").catch(() => null);
    awake?.addEventListener("release", () => { awake = null; });
  } else if (!isRunning) {
    await awake?.release();
    awake = null;
  }
}

setInterval(tick, 250);
document.addEventListener("renewed", () => { tick(); stayAwake(); });
document.addEventListener("visibilitychange", stayAwake);
tick();
stayAwake();
