// Lays the fields of a bench's sizes over their dimension lines. Without this file they stand beneath the drawing.
"use strict";

(function () {
  const wide = (field, input) => field.style.setProperty("--w", `${Math.max(4, input.value.length) + 1.6}ch`);

  const lay = () => document.querySelectorAll(".drawn[data-places]").forEach((drawn) => {
    const svg = drawn.querySelector("svg");
    const bench = drawn.closest(".bench");
    if (!svg) { return; }
    const [board, paper] = [bench.getBoundingClientRect(), svg.getBoundingClientRect()];
    const places = new Map(drawn.dataset.places.split(";").map((one) => one.trim().split(" ")).map(([id, x, y]) => [id, [x, y]]));
    bench.querySelectorAll(".sizes > .field").forEach((field) => {
      const input = field.querySelector("input");
      const place = input && places.get(input.id);
      field.classList.toggle("on", Boolean(place));
      if (!place) { return; }
      field.style.setProperty("--x", `${paper.left - board.left + paper.width * place[0] / 100}px`);
      field.style.setProperty("--y", `${paper.top - board.top + paper.height * place[1] / 100}px`);
      wide(field, input);
    });
  });

  document.addEventListener("DOMContentLoaded", lay);
  document.addEventListener("htmx:afterSettle", lay);
  document.addEventListener("toggle", lay, true);
  window.addEventListener("resize", lay);
  document.addEventListener("input", (event) => {
    const field = event.target.closest(".field.on");
    if (field) { wide(field, event.target); }
  });
})();
