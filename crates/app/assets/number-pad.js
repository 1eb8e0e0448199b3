// A pad of large keys to type a number with gloves on. The words on it come
// with the page, in <template id="number-pad">.

const template = document.getElementById("number-pad");
export const decimal = document.documentElement.lang === "de" ? "," : ".";

// A number as the page shows it.
export function shown(value, digits) {
  const [whole, part] = Math.abs(value).toFixed(digits).split(".");
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, "\u202f");
  const minus = value < 0 && /[1-9]/.test(whole + (part ?? "")) ? "\u2212" : "";
  return minus + grouped + (part === undefined ? "" : decimal + part);
}

// Asks for a number between low and high; null when it was left.
export function ask({ name, unit, low, high, digits, hint }) {
  const dialog = template.content.firstElementChild.cloneNode(true);
  document.body.append(dialog);
  const figure = dialog.querySelector(".pad-figure");
  const take = dialog.querySelector("[value=take]");
  dialog.querySelector(".pad-name").textContent = name;
  const range = dialog.querySelector(".pad-range");
  range.textContent = hint ?? range.dataset.words
    .replace("{0}", shown(low, digits)).replace("{1}", shown(high, digits)) + " " + unit;
  let typed = "";
  const draw = () => {
    figure.replaceChildren(typed.replace(".", decimal) || "\u2013", " ", small(unit));
    const value = Number(typed);
    take.disabled = typed === "" || !(value >= low && value <= high);
  };
  const press = (key) => {
    if (key === "delete") typed = typed.slice(0, -1);
    else if (key === "point") { if (digits > 0 && !typed.includes(".")) typed += typed ? "." : "0."; }
    else if (key === "minus") { if (low < 0) typed = typed.startsWith("-") ? typed.slice(1) : "-" + typed; }
    else if (typed.length < 9) typed += key;
    draw();
  };
  dialog.querySelector("[data-key=point]").textContent = decimal;
  dialog.querySelector("[data-key=point]").disabled = digits === 0;
  dialog.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    if (key) press(key.dataset.key);
  });
  dialog.addEventListener("keydown", (event) => {
    if (/^[0-9]$/.test(event.key)) press(event.key);
    else if (event.key === "Backspace") press("delete");
    else if (event.key === "." || event.key === ",") press("point");
    else if (event.key === "-") press("minus");
    else if (event.key === "Enter" && !take.disabled && !event.target.closest("[value=cancel]")) {
      event.preventDefault();
      dialog.close("take");
    }
  });
  draw();
  return new Promise((resolve) => {
    dialog.addEventListener("close", () => {
      dialog.remove();
      resolve(dialog.returnValue === "take" && typed !== "" ? Number(typed) : null);
    });
    dialog.showModal();
  });
}

function small(text) {
  const element = document.createElement("small");
  element.textContent = text;
  return element;
}
