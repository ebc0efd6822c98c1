// A design being made: each change goes to the shop as soon as a field is left, one after another, and waits here while
// there is no line. Without this file every row has a button of its own.
"use strict";

(function () {
  const board = () => document.getElementById("maker");
  if (!board()) { return; }
  const place = `making:${board().dataset.address}`;
  const sent = new Map();
  let waiting = [], going = null, retry = 0, answers = 0;

  // ---- what waits to be sent --------------------------------------------------------------------------------------

  const hold = () => {
    try { sessionStorage.setItem(place, JSON.stringify(waiting)); } catch { /* it lasts as long as the page */ }
  };
  const state = (sentence) => { const one = document.getElementById("maker-state"); if (one && sentence) { one.textContent = sentence; } };
  const formOf = (element) => element.closest("form[data-send]");

  // Of a row only what was typed otherwise than it stood goes: another window may have changed the rest meanwhile.
  const isTyped = (one) => !one.matches(".word") || sent.has(one.id)
    || (one.options ? !one.selectedOptions[0].defaultSelected : one.value !== one.defaultValue);
  const queue = (form, button) => {
    const fields = Array.from(form.elements).filter((one) => one.name && one.type !== "submit" && isTyped(one)).map((one) => [one.name, one.value]);
    if (button && button.name) { fields.push([button.name, button.value]); }
    // A row that is changed again before it went goes once, as it is by now; each press and each line by itself.
    const key = fields.filter(([name]) => /^(section|row|act)$/.test(name)).join("/");
    waiting = waiting.filter((one) => one.key !== key || one.button || button || one === going);
    waiting.push({ key, fields, button: Boolean(button) });
    hold();
    send();
  };

  const send = async () => {
    if (going || !waiting.length || !board()) { return; }
    const one = going = waiting[0];
    const csrf = document.querySelector('meta[name="csrf-token"]');
    const fields = one.fields.map(([name, value]) => name === "step" && !one.tried ? [name, board().dataset.step] : [name, value]);
    let answer = null, text = "";
    try {
      answer = await fetch(board().dataset.address, {
        method: "POST", body: new URLSearchParams(fields), credentials: "same-origin", redirect: "follow",
        headers: { "HX-Request": "true", "X-CSRF-Token": csrf ? csrf.content : "" },
      });
      text = await answer.text();
    } catch { answer = null; }
    going = null;
    if (!answer || answer.status >= 500 || answer.status === 401 || answer.status === 429) {
      state(answer && answer.status === 401 ? "Signed out: sign in in another window; nothing is lost" : `No connection: ${waiting.length} to send; kept here`);
      clearTimeout(retry);
      retry = setTimeout(send, 2500);
      return;
    }
    waiting.shift();
    hold();
    put(text, one);
    send();
  };
  window.addEventListener("online", send);
  window.addEventListener("beforeunload", (event) => { if (waiting.length) { event.preventDefault(); } });

  // ---- what came back is put in place -----------------------------------------------------------------------------

  // What is typed by now is newer than what the page was sent for, and the field in focus stays in focus.
  const put = (text, from) => {
    const answer = new DOMParser().parseFromString(text, "text/html");
    const came = answer.getElementById("maker"), block = answer.getElementById("maker-block");
    if (!came) { state("The page could not be shown anew: load it again; nothing is lost"); return; }
    const old = board(), focus = document.activeElement, typed = new Map();
    old.querySelectorAll("input[id]:not([type=hidden]), textarea[id]").forEach((one) => {
      const own = formOf(one);
      const asSent = own && from.fields.some(([name, value]) => name === one.name && value === one.value);
      if (one.value !== one.defaultValue && !asSent) { typed.set(one.id, one.value); }
    });
    typed.delete("new-row");
    // A line that was not taken comes back before what is typed by now.
    const typedNext = (document.getElementById("new-row") || {}).value || "";
    const refused = came.querySelector("#new-row");
    const folds = new Map(Array.from(old.querySelectorAll("details[id]"), (one) => [one.id, one.open]));
    const held = focus && old.contains(focus) ? { id: focus.id, begin: focus.selectionStart, end: focus.selectionEnd } : null;
    const scrolled = window.scrollY;
    const opened = old.querySelector("#working-label") && document.getElementById("working");
    if (opened) { came.querySelector("#working").replaceWith(opened); }
    old.replaceWith(came);
    if (window.htmx) { window.htmx.process(came); }
    if (block && document.getElementById("maker-block")) { document.getElementById("maker-block").replaceWith(block); }
    came.querySelectorAll("details[id]").forEach((one) => {
      if (folds.has(one.id)) { one.open = folds.get(one.id) || (one.classList.contains("row-more") && one.open); }
    });
    came.dataset.answered = String(answers += 1);
    const added = from.fields.some(([name, value]) => name === "act" && value === "add");
    typed.forEach((value, id) => { const one = document.getElementById(id); if (one) { one.value = value; } });
    if (refused.value.trim() !== typedNext.trim()) { refused.value = [refused.value, typedNext].filter((one) => one.trim()).join("\n"); }
    window.scrollTo(0, scrolled);
    const next = (added && document.getElementById("new-row")) || (held && held.id && document.getElementById(held.id));
    if (next) {
      next.focus({ preventScroll: !added });
      if (held && next.id === held.id && held.begin !== null && next.setSelectionRange && next.type !== "hidden") {
        try { next.setSelectionRange(held.begin, held.end); } catch { /* a field without a mark in it */ }
      }
    }
    sent.clear();
    document.dispatchEvent(new CustomEvent("htmx:afterSettle", { detail: { target: came } }));
    document.dispatchEvent(new CustomEvent("maker:put"));
  };

  // ---- when a row goes --------------------------------------------------------------------------------------------

  document.addEventListener("change", (event) => {
    const form = event.target.closest("form[data-on-change]");
    if (form && board().contains(form) && sent.get(event.target.id) !== event.target.value) {
      sent.set(event.target.id, event.target.value);
      queue(form, null);
    }
  });
  document.addEventListener("submit", (event) => {
    const form = event.target.closest("form[data-send]");
    if (!form || !board().contains(form)) { return; }
    event.preventDefault();
    queue(form, event.submitter);
    if (form.id === "new-row-form") { document.getElementById("new-row").value = ""; }
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.isComposing || event.shiftKey) { return; }
    const area = event.target.closest("textarea[data-enter-sends]");
    if (area) {
      event.preventDefault();
      const button = formOf(area).querySelector("button[name=act]");
      if (area.value.trim()) {
        queue(formOf(area), button);
        if (area.id === "new-row") { area.value = ""; }
      }
      return;
    }
    const word = event.target.closest("form[data-on-change] .word");
    if (word) {
      event.preventDefault();
      word.dispatchEvent(new Event("change", { bubbles: true }));
    }
  });

  // Ctrl+S leads to what is kept: the name, what it is, and the button.
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "s") { return; }
    event.preventDefault();
    event.stopImmediatePropagation();
    const keep = document.querySelector("#keep form");
    if (keep.contains(document.activeElement)) { keep.requestSubmit(); } else { document.getElementById("head-name").focus(); }
  }, true);

  // ---- undo and redo, from wherever one is ------------------------------------------------------------------------

  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) { return; }
    const key = event.key.toLowerCase();
    const field = event.target.closest && event.target.closest("input, textarea");
    // Within a field that was typed in and not left yet, the browser takes back the letters.
    if (field && field.value !== field.defaultValue) { return; }
    const id = key === "z" && !event.shiftKey ? "undo-step" : key === "y" || (key === "z" && event.shiftKey) ? "redo-step" : "";
    const button = id && document.getElementById(id);
    if (button) {
      event.preventDefault();
      event.stopImmediatePropagation();
      if (!button.disabled) { queue(formOf(button), button); }
    }
  }, true);

  // A sweep that is through tells how far each size goes: the page is asked for anew.
  document.addEventListener("htmx:afterSettle", async () => {
    const sweep = document.getElementById("sweep"), was = board().dataset.sweeping === "yes";
    board().dataset.sweeping = sweep && sweep.hasAttribute("aria-busy") ? "yes" : "";
    if (!was || board().dataset.sweeping || waiting.length) { return; }
    try {
      const answer = await fetch(board().dataset.address, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
      if (answer.ok && !waiting.length) { put(await answer.text(), { fields: [] }); }
    } catch { /* it stands in its own part */ }
  });

  // ---- what mends a row: tried by the shop once nothing waits ------------------------------------------------------

  let asked = 0;
  const mend = () => {
    clearTimeout(asked);
    asked = setTimeout(async () => {
      const step = board().dataset.step;
      if (waiting.length || !document.querySelector(".wrong-row")) { return; }
      try {
        const answer = await fetch(`${board().dataset.address}/mends`, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
        const came = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("maker");
        if (!came || waiting.length || board().dataset.step !== step) { return; }
        came.querySelectorAll(".mends[data-row]").forEach((one) => {
          const own = board().querySelector(`.mends[data-row="${CSS.escape(one.dataset.row)}"]`);
          if (own && one.children.length) { own.replaceWith(one); }
        });
      } catch { /* the link to it stands on the page */ }
    }, 500);
  };
  document.addEventListener("maker:put", mend);
  mend();

  // ---- a figure that is open: put away, or worked out anew once nothing waits --------------------------------------

  let figure = "", follows = 0;
  const close = () => { const one = document.getElementById("working"); if (one) { one.replaceChildren(); } figure = ""; };
  document.addEventListener("htmx:beforeRequest", (event) => {
    if (event.detail.target.id === "working") { figure = event.detail.pathInfo.requestPath; }
  });
  document.addEventListener("click", (event) => {
    if (event.target.closest("#working-away")) {
      const asked = Array.from(document.querySelectorAll("#maker-bar .figure a")).find((one) => one.getAttribute("href") === figure);
      close();
      (asked || document.getElementById("maker-price") || document.getElementById("new-row")).focus();
    }
    // The list of faults lies over the rows: it shuts once one of them is gone to, or something else is done.
    const fold = document.getElementById("faults");
    if (fold && fold.open && !event.target.closest("#faults summary")) { fold.open = false; }
  });
  document.addEventListener("keydown", (event) => {
    const fold = event.key === "Escape" && event.target.closest && event.target.closest("#faults[open]");
    if (fold) { fold.open = false; fold.querySelector("summary").focus(); }
  });
  document.addEventListener("maker:put", () => {
    clearTimeout(follows);
    if (!figure) { return; }
    follows = setTimeout(async () => {
      const own = figure, step = board().dataset.step;
      if (waiting.length) { return; }
      try {
        const answer = await fetch(own, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
        const came = answer.ok && new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("working");
        if (own !== figure || waiting.length || board().dataset.step !== step) { return; }
        if (!came) { close(); return; }
        document.getElementById("working").replaceWith(came);
        window.htmx.process(came);
      } catch { /* it stands as it was opened */ }
    }, 500);
  });

  // ---- words that may stand next ----------------------------------------------------------------------------------

  let typing = 0, wanted = 0;
  const list = () => document.getElementById("new-row-offers");
  const options = () => Array.from(list() ? list().querySelectorAll("[role=option]") : []);
  const chosen = () => options().find((one) => one.getAttribute("aria-selected") === "true");
  const shut = () => {
    wanted += 1;
    clearTimeout(typing);
    const area = document.getElementById("new-row");
    if (list()) { list().hidden = true; list().replaceChildren(); }
  };
  const choose = (one) => {
    const area = document.getElementById("new-row");
    options().forEach((each) => each.setAttribute("aria-selected", String(each === one)));
    if (one) { area.setAttribute("aria-activedescendant", one.id); } else { area.removeAttribute("aria-activedescendant"); }
  };
  const take = (one) => {
    const area = document.getElementById("new-row");
    area.value = one.dataset.line;
    area.setSelectionRange(area.value.length, area.value.length);
    shut();
    area.focus();
  };
  document.addEventListener("input", (event) => {
    const area = event.target.closest("textarea[data-offers]");
    if (!area) { return; }
    clearTimeout(typing);
    const mine = (wanted += 1);
    if (area.value.includes("\n")) { shut(); return; }
    typing = setTimeout(async () => {
      try {
        const answer = await fetch(`${area.dataset.offers}?line=${encodeURIComponent(area.value)}`, { credentials: "same-origin" });
        const text = answer.ok ? await answer.text() : "";
        if (mine !== wanted || document.activeElement !== area) { return; }
        list().innerHTML = "";
        const came = new DOMParser().parseFromString(`<ul>${text}</ul>`, "text/html");
        list().append(...came.querySelectorAll("[role=option]"));
        list().hidden = !options().length;
      } catch { shut(); }
    }, 180);
  });
  document.addEventListener("keydown", (event) => {
    if (!event.target.closest || !event.target.closest("textarea[data-offers]") || list().hidden || event.isComposing) { return; }
    const all = options(), at = all.indexOf(chosen());
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      choose(all[(at + (event.key === "ArrowDown" ? 1 : all.length + (at < 0 ? 0 : -1))) % all.length]);
    } else if ((event.key === "Tab" && !event.shiftKey && chosen()) || (event.key === "Enter" && chosen())) {
      event.preventDefault();
      event.stopPropagation();
      take(chosen());
    } else if (event.key === "Escape") {
      event.preventDefault();
      shut();
    }
  }, true);
  document.addEventListener("click", (event) => {
    const one = event.target.closest("#new-row-offers [role=option]");
    if (one) { take(one); }
  });
  document.addEventListener("focusout", (event) => {
    if (event.target.id === "new-row" && !(event.relatedTarget && event.relatedTarget.closest("#new-row-offers"))) { setTimeout(() => { if (!document.activeElement || document.activeElement.id !== "new-row") { shut(); } }, 150); }
  });
  document.addEventListener("maker:put", shut);

  // What waited when the page was left goes now.
  try { waiting = JSON.parse(sessionStorage.getItem(place) || "[]").map((one) => ({ ...one, tried: true })); } catch { waiting = []; }
  send();
})();
