// A part lights up wherever it is drawn or listed while it is pointed at, in focus or tapped. Without this file a part
// of a drawing is a link to its row, and the row's number one back.
"use strict";

(function () {
  let held = "", lit = "";
  const all = (part) => document.querySelectorAll(`[data-part="${CSS.escape(part)}"]`);
  const light = (part) => {
    if (part === lit) { return; }
    if (lit) { all(lit).forEach((one) => one.classList.remove("lit")); }
    lit = part;
    if (lit) { all(lit).forEach((one) => one.classList.add("lit")); }
  };
  const partOf = (target) => {
    const one = target instanceof Element && target.closest("[data-part]");
    return one ? one.dataset.part : "";
  };

  document.addEventListener("pointerover", (event) => {
    if (event.pointerType !== "touch") { light(partOf(event.target) || held); }
  });
  document.addEventListener("focusin", (event) => { light(partOf(event.target) || held); });
  document.addEventListener("focusout", () => { light(held); });
  // A tap or a click keeps a part lit until the next; a key on a drawn part leads to its row, as the link says.
  document.addEventListener("click", (event) => {
    const drawn = event.target instanceof Element && event.target.closest("a.drawn-part");
    const part = partOf(event.target);
    if (event.detail === 0 || (part && !drawn && event.target.closest("a, button, input, label, summary"))) { return; }
    if (drawn) { event.preventDefault(); }
    held = part && part !== held ? part : "";
    light(held);
  });
  // What is drawn anew after a size was typed is lit as what it replaces was.
  document.addEventListener("htmx:afterSettle", () => {
    const part = lit;
    lit = "";
    light(part);
  });
})();
