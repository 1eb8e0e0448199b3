// The after side is uncovered from the right as the slider moves to the left.
for (const box of document.querySelectorAll(".compare")) {
  const slider = box.querySelector("input");
  const draw = () => box.style.setProperty("--at", `${slider.value}%`);
  box.classList.add("has-script");
  slider.addEventListener("input", draw);
  draw();
}
