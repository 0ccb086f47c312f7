"use strict";
// Moves a chalk mark down the lesson's sentences. The page is complete without it.
(() => {
  const steps = [...document.querySelectorAll("li.step")];
  const bar = document.getElementById("chalk");
  if (!steps.length || !bar) return;
  const slide = bar.querySelector("input");
  const said = bar.querySelector("output");
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");

  const show = (at, scroll) => {
    const here = Math.min(Math.max(at, 0), steps.length - 1);
    steps.forEach((step, i) => {
      step.classList.toggle("done", i < here);
      if (i === here) step.setAttribute("aria-current", "step");
      else step.removeAttribute("aria-current");
    });
    const step = steps[here];
    slide.value = String(here + 1);
    const name = `Step ${step.value} of ${steps[steps.length - 1].value}`;
    said.textContent = name;
    slide.setAttribute("aria-valuetext", `${name}: ${step.querySelector(".sentence").textContent}`);
    if (scroll) {
      step.scrollIntoView({ block: "center", behavior: still.matches ? "auto" : "smooth" });
      history.replaceState(null, "", `#${step.id}`);
    }
  };

  const at = () => Number(slide.value) - 1;
  slide.max = String(steps.length);
  slide.addEventListener("input", () => show(at(), true));
  for (const button of bar.querySelectorAll("button"))
    button.addEventListener("click", () => show(at() + Number(button.dataset.by), true));
  for (const [i, step] of steps.entries())
    step.querySelector(".number").addEventListener("click", () => show(i, false));
  bar.hidden = false;
  document.documentElement.classList.add("chalked");
  const asked = steps.findIndex((step) => `#${step.id}` === location.hash);
  show(Math.max(asked, 0), asked >= 0);
})();
