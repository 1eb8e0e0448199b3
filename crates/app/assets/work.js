// The timer ticks from the moment the job says, and the screen stays awake
// while a section runs.
let awake = null;
let shift = null;

function tick() {
  const timer = document.querySelector(".timer[data-since]");
  if (!timer) return;
  shift ??= Date.now() - Number(timer.dataset.now);
  const seconds = Math.max(0, Math.floor((Date.now() - shift - Number(timer.dataset.since)) / 1000));
  timer.textContent = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}

async function stayAwake() {
  const isRunning = document.querySelector(".timer[data-since]") !== null;
  if (!isRunning) {
    await awake?.release();
    awake = null;
  } else if (!awake && document.visibilityState === "visible") {
    awake = await navigator.wakeLock?.request("screen").catch(() => null);
    const said = document.getElementById("awake");
    if (said) said.hidden = Boolean(awake);
    awake?.addEventListener("release", () => { awake = null; });
  }
}

setInterval(tick, 500);
document.addEventListener("renewed", () => { shift = null; tick(); stayAwake(); });
document.addEventListener("visibilitychange", stayAwake);
tick();
stayAwake();
