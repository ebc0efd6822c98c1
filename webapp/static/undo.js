// Undo and redo over a whole form, Ctrl+S, and the keys said by '?'. Only betterment.
"use strict";

(function () {
  if (!window.typedForm) { return; }
  const { find, controls, fields } = window.typedForm;
  const MOST = 60, LONGEST = 1500000;
  const texts = "input:not([type]), input[type=text], input[type=search], input[type=date], input[type=number], input[type=email], input[type=tel], textarea";

  // ---- what was typed before --------------------------------------------------------------------------------------

  // A step is the whole form as it stood before one field was typed in, or before one button was pressed.
  let past = [], future = [], now = [], field = null, came = "", undone = false, puts = false;
  const place = () => `undo:${find() ? find().dataset.kept : ""}`;
  // On which state a form was opened is no part of what is typed.
  const take = (form) => fields(form).filter(([name]) => !/^(version|base|revision|was)$/.test(name));
  const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);
  const mark = () => {
    const undo = document.getElementById("undo"), redo = document.getElementById("redo");
    if (undo) { undo.hidden = false; undo.disabled = !past.length; }
    if (redo) { redo.hidden = false; redo.disabled = !future.length; }
  };
  const versionOf = (form) => fields(form).filter(([name]) => /^(version|base)$/.test(name)).join();
  const hold = (sent = null) => {
    past = past.slice(-MOST);
    try {
      const version = find() ? versionOf(find()) : "";
      let text = JSON.stringify({ past, future, version, sent });
      while (text.length > LONGEST && past.length > 1) {
        past = past.slice(Math.ceil(past.length / 2));
        text = JSON.stringify({ past, future, version, sent });
      }
      sessionStorage.setItem(place(), text);
    } catch { /* they last as long as the page */ }
    mark();
  };
  const add = (before) => { past.push(before); future = []; hold(); };

  ["input", "change"].forEach((name) => document.addEventListener(name, (event) => {
    const form = find();
    if (puts || !form || (event.target.form || event.target) !== form) { return; }
    undone = event.inputType === "historyUndo";
    const after = take(form);
    if (same(after, now)) { return; }
    if (event.target !== field) { field = event.target; add(now); }
    now = after;
  }, true));
  document.addEventListener("focusin", (event) => { field = null; came = event.target.value; undone = false; });
  document.addEventListener("focusout", () => { field = null; });
  document.addEventListener("htmx:beforeRequest", (event) => {
    const form = find();
    if (form && form.contains(event.detail.elt) && event.detail.elt.matches("button[name=act]")) { field = null; add(take(form)); }
  });
  document.addEventListener("htmx:afterSwap", () => {
    const form = find();
    if (!form) { return; }
    now = take(form);
    mark();
    // The button that removed an entry went with it: the one that puts it back stands in for it.
    const back = document.activeElement === document.body ? form.querySelector(".removed button") : null;
    if (back) { back.focus(); }
  });
  document.addEventListener("submit", (event) => { if (event.target === find()) { hold(take(event.target)); } });

  // ---- put back ---------------------------------------------------------------------------------------------------

  // Entries come and go with the server, which draws them; a field alone is filled where it stands.
  const isOfAnEntry = (name) => /^(items|lines|settings)\./.test(name);
  const standsAlike = (form, wanted) => {
    const here = controls(form).filter((one) => isOfAnEntry(one.name));
    const names = new Set(here.map((one) => one.name)), meant = new Set(wanted.map(([name]) => name));
    return wanted.every(([name]) => !isOfAnEntry(name) || names.has(name))
      && here.every((one) => one.matches("[type=checkbox], [type=radio]") || meant.has(one.name));
  };
  const fill = (form, wanted) => {
    const left = new Map();
    wanted.forEach(([name, text]) => { left.set(name, [...(left.get(name) || []), text]); });
    const changed = controls(form).filter((one) => {
      const meant = left.get(one.name) || [];
      if (one.matches("[type=checkbox], [type=radio]")) {
        const is = meant.includes(one.value);
        if (is === one.checked) { return false; }
        one.checked = is;
        return true;
      }
      const text = meant.shift();
      if (text === undefined || text === one.value) { return false; }
      one.value = text;
      return one.type !== "hidden";
    });
    changed.forEach((one) => ["input", "change"].forEach((name) => one.dispatchEvent(new Event(name, { bubbles: true }))));
    const first = changed[0];
    if (first) {
      const folded = first.closest("details:not([open])");
      if (folded) { folded.open = true; }
      first.focus();
      came = first.value;
    }
  };
  let sending = null;
  const fetchWhole = (form, wanted) => {
    const body = new FormData(form);
    [...new Set(fields(form).map(([name]) => name))].forEach((name) => { if (!/^(version|base)$/.test(name)) { body.delete(name); } });
    wanted.forEach(([name, text]) => body.append(name, text));
    body.append("act", "as-typed");
    sending = body;
    const at = document.activeElement ? document.activeElement.id : "";
    window.htmx.ajax("POST", `${form.getAttribute("action")}/estimate`, { source: document.body, target: `#${form.id}`, select: `#${form.id}`, swap: "outerHTML" })
      .then(() => { const one = at && document.getElementById(at); if (one) { one.focus(); } })
      .catch(() => { /* said by what hears of it */ });
  };
  document.addEventListener("htmx:configRequest", (event) => {
    if (!sending || event.detail.elt !== document.body) { return; }
    event.detail.parameters = sending;
    event.detail.headers["Content-Type"] = "application/x-www-form-urlencoded";
    sending = null;
  });
  const step = (from, to) => {
    const form = find();
    if (!form) { return; }
    const before = take(form);
    let wanted = from.pop();
    while (wanted && same(wanted, before)) { wanted = from.pop(); }
    if (!wanted) { hold(); return; }
    to.push(before);
    field = null;
    if (form.id === "job-sheet" && !standsAlike(form, wanted)) {
      fetchWhole(form, wanted);
    } else {
      puts = true;
      fill(form, wanted);
      puts = false;
    }
    now = take(form);
    hold();
  };
  document.addEventListener("click", (event) => {
    if (event.target.closest("#undo")) { step(past, future); }
    if (event.target.closest("#redo")) { step(future, past); }
  });

  // ---- keys -------------------------------------------------------------------------------------------------------

  const KEYS = [
    ["Ctrl S", "Save"],
    ["Ctrl Z", "Undo, over the whole form; in a field what was typed there comes first"],
    ["Ctrl Shift Z, Ctrl Y", "Redo"],
    ["Tab", "On to the next field"],
    ["?", "These keys"],
    ["Esc", "Close what was opened"],
  ];
  const dialog = () => {
    const made = document.createElement("dialog");
    made.id = "keys";
    made.className = "keys";
    made.setAttribute("aria-labelledby", "keys-head");
    const head = made.appendChild(document.createElement("h2"));
    head.id = "keys-head";
    head.textContent = "Keys";
    const list = made.appendChild(document.createElement("dl"));
    KEYS.forEach(([key, does]) => {
      const row = list.appendChild(document.createElement("div"));
      row.appendChild(document.createElement("dt")).textContent = key;
      row.appendChild(document.createElement("dd")).textContent = does;
    });
    const note = made.appendChild(document.createElement("p"));
    note.className = "quiet";
    note.textContent = "On a Mac, Cmd stands in for Ctrl. What is typed and not saved is kept for you, and offered when you come back.";
    const close = made.appendChild(document.createElement("button"));
    close.type = "button";
    close.className = "second";
    close.textContent = "Close";
    close.addEventListener("click", () => made.close());
    return document.body.appendChild(made);
  };
  const showKeys = () => { const one = document.getElementById("keys") || dialog(); if (!one.open) { one.showModal(); } };
  const head = document.querySelector("header .sign-out");
  if (head) {
    const opens = document.createElement("button");
    opens.type = "button";
    opens.className = "plain keys-button";
    opens.textContent = "Keys";
    opens.addEventListener("click", showKeys);
    head.prepend(opens);
  }

  const save = (form) => {
    const button = form.querySelector("button.first[type=submit]") || form.querySelector("button[type=submit]:not([name=act])");
    if (button) { form.requestSubmit(button); }
  };
  document.addEventListener("keydown", (event) => {
    const form = find(), key = event.key.toLowerCase(), one = event.target;
    const command = (event.ctrlKey || event.metaKey) && !event.altKey;
    if (event.isComposing) { return; }
    if (event.key === "?" && !command && !(one.matches && one.matches(`${texts}, input, select`))) { event.preventDefault(); showKeys(); return; }
    if (!command || !form || document.querySelector("dialog[open]")) { return; }
    if (key === "s" && !event.shiftKey) { event.preventDefault(); save(form); return; }
    if (key !== "z" && key !== "y") { return; }
    const back = key === "z" && !event.shiftKey;
    // What was typed in a field since one came to it is undone by the browser, letter by letter.
    const isText = one.matches && one.matches(texts);
    if (isText && (back ? one.value !== came : undone || one.form !== form)) { return; }
    event.preventDefault();
    if (back) { step(past, future); } else { step(future, past); }
  });

  // ---- where one left off -----------------------------------------------------------------------------------------

  const form = find();
  if (form) {
    now = take(form);
    try {
      // Where somebody else saved since, a step back would undo what is theirs: then nothing of it is known any more.
      const known = JSON.parse(sessionStorage.getItem(place()));
      if (known && (known.version === versionOf(form) || (known.sent && same(known.sent, now)))) { ({ past, future } = known); }
    } catch { /* none are known */ }
    mark();
  }
})();
