"use strict";
(() => {
  const { key, order, recipe } = document.body.dataset;
  let version = document.body.dataset.version;
  const at = (id) => document.getElementById(id);
  const [form, sheet, said, under, total, clash, wrong, problems, elsewhere, old, keep, back] =
    ["form", "sheet", "said", "under", "total", "clash", "wrong", "problems", "elsewhere", "old", "keep", "back"].map(at);

  // What this page changes: by name, what it wants, and what it knew the file to say. Null is nothing, so that what is usual holds.
  const mine = new Map();
  let running = null, timer = 0, turn = 0, reading = 0, storing = false, leaving = false, filled = "";

  const fields = () => [...form.querySelectorAll("[data-name]")];
  const inFile = (f) => (f.dataset.given === "true" ? f.dataset.kept : null);
  const words = (text) => (text === null ? "what is usual" : text);
  const say = (text) => { if (said.textContent !== text) said.textContent = text; };
  const id = () => (recipe ? at("id").value.trim() : order);
  const wish = () => ({
    order: id(), recipe, blank: !sheet.querySelector("article"),
    changes: [...mine].map(([name, { from, to }]) => ({ name, from, to })),
  });
  const address = (of) => new URLSearchParams({ key, ...of });
  const post = (path, body, signal) => fetch(path, {
    method: "POST", signal, headers: { "Content-Type": "application/json", "X-Squab-Key": key }, body: JSON.stringify(body),
  });

  // The fields.

  const wanted = (f) => {
    const text = f.value.trim();
    if (text === f.dataset.kept.trim()) return inFile(f);
    return text === "" && f.dataset.usual !== undefined ? null : text;
  };

  const want = (f, to) => {
    const name = f.dataset.name, known = mine.get(name);
    if (to === inFile(f)) mine.delete(name);
    else mine.set(name, { to, from: known ? known.from : inFile(f) });
    soon();
  };

  // lacking names what a new order must still be given.
  const lacking = () => fields().filter((f) => recipe && f.dataset.usual === undefined && f.value.trim() === "").map(nameOf);
  const nameOf = (f) => f.closest(".ask").querySelector(".name").textContent;

  const paintField = (f) => {
    const box = f.closest(".ask"), change = mine.get(f.dataset.name);
    const isUsual = f.dataset.usual !== undefined && (change ? change.to : inFile(f)) === null;
    const isChanged = change !== undefined && !recipe;
    box.classList.toggle("dirty", isChanged);
    box.querySelector(".how").textContent = [isChanged && "changed", isUsual && "usual"].filter(Boolean).join(", ");
    const usual = box.querySelector(".usual"), note = box.querySelector(".note");
    if (usual) usual.hidden = isUsual;
    note.hidden = !change || change.from === inFile(f);
    note.textContent = note.hidden ? "" : "the file now says " + words(inFile(f));
  };

  const paint = () => {
    fields().forEach(paintField);
    keep.disabled = storing || (recipe ? !id() || lacking().length > 0 : mine.size === 0);
    back.disabled = mine.size === 0;
  };

  // fill puts what the files say into the page; what is changed here stays as it is here.
  const fill = (html) => {
    if (html === filled) return;
    filled = html;
    const active = document.activeElement, name = active?.dataset?.name;
    const caret = name && active.tagName === "INPUT" ? [active.selectionStart, active.selectionEnd] : null;
    at("fields").innerHTML = html;
    const there = new Map(fields().map((f) => [f.dataset.name, f]));
    for (const [n, change] of mine) {
      const f = there.get(n);
      if (!f || change.to === inFile(f)) mine.delete(n);
      else f.value = change.to ?? f.dataset.usual;
    }
    const again = there.get(name);
    again?.focus();
    if (caret && again) again.setSelectionRange(...caret);
  };

  const refresh = async () => {
    const mineTurn = ++reading;
    try {
      const response = await fetch("/order?" + address(recipe ? { new: recipe } : { order }));
      if (!response.ok) throw new Error(await response.text());
      const now = await response.json();
      if (mineTurn !== reading) return;
      version = now.version;
      if (now.fields) fill(now.fields);
      if (now.orders) at("pick").innerHTML = now.orders;
    } catch (e) {
      say("The files were changed, and the bench does not tell how: " + e.message);
    }
    soon();
  };

  // The sheet.

  // place names a derivation by what it lies in, so that the same one is found on the next sheet.
  const place = (details) => {
    const outer = details.parentElement.closest("details");
    const name = details.dataset.why ?? details.firstElementChild.textContent.split(" = ")[0];
    return (outer && sheet.contains(outer) ? place(outer) + " > " : "") + name;
  };

  const places = () => {
    const all = new Map(), met = new Map();
    for (const d of sheet.querySelectorAll("details")) {
      const p = place(d), n = (met.get(p) ?? 0) + 1;
      met.set(p, n);
      all.set(p + " " + n, d);
    }
    return all;
  };

  const show = (html) => {
    const before = [...places()], active = document.activeElement;
    const open = new Set(before.filter(([, d]) => d.open).map(([p]) => p));
    const focused = before.find(([, d]) => d.firstElementChild === active)?.[0];
    const ticked = new Set([...sheet.querySelectorAll("input:checked")].map((i) => i.getAttribute("aria-label")));
    const label = sheet.contains(active) ? active.getAttribute("aria-label") : null;
    const [left, top] = [window.scrollX, window.scrollY];
    sheet.innerHTML = html;
    for (const [p, d] of places()) {
      d.open = open.has(p);
      if (p === focused) d.firstElementChild.focus({ preventScroll: true });
    }
    for (const i of sheet.querySelectorAll("input")) {
      i.checked = ticked.has(i.getAttribute("aria-label"));
      if (label && i.getAttribute("aria-label") === label) i.focus({ preventScroll: true });
    }
    for (const a of sheet.querySelectorAll("svg a")) {
      if (document.getElementById(a.getAttribute("href").slice(1))?.closest(".num.changed")) a.classList.add("changed");
    }
    window.scrollTo(left, top);
    showTotal();
  };

  const totals = () => sheet.querySelector('details[data-why="price.total"]');

  const showTotal = () => {
    const price = totals();
    total.hidden = !price;
    if (!price) return;
    const was = price.querySelector(".was")?.textContent;
    total.textContent = "Total " + price.querySelector("summary data").textContent + (was ? ", " + was : "");
  };

  // reveal opens a derivation and all that it lies in.
  const reveal = (inside) => {
    const details = inside.closest("details");
    for (let d = details; d && sheet.contains(d); d = d.parentElement.closest("details")) d.open = true;
    details?.firstElementChild.focus({ preventScroll: true });
    inside.scrollIntoView({ block: "center" });
  };

  total.addEventListener("click", () => reveal(totals()));
  sheet.addEventListener("click", (e) => {
    const to = document.getElementById(e.target.closest("a")?.getAttribute("href")?.slice(1));
    if (!to) return;
    e.preventDefault();
    reveal(to);
  });

  const complain = (text) => {
    problems.textContent = text;
    wrong.hidden = false;
    elsewhere.hidden = true;
    age();
    say("This cannot be made as it stands.");
  };

  const age = () => {
    const shown = sheet.querySelector("article") !== null && !wrong.hidden;
    old.hidden = !shown;
    sheet.classList.toggle("old", shown);
  };

  const differences = () => {
    if (recipe) return "Not in the file yet.";
    const n = sheet.querySelectorAll(".num.changed").length + (sheet.querySelector(".gone") ? 1 : 0);
    if (n === 0) return mine.size ? "No number differs from what is kept." : "As kept in the file.";
    return n + (n === 1 ? " number differs" : " numbers differ") + " from what is kept.";
  };

  const told = (line) => {
    if (line.problems !== undefined) complain(line.problems);
    if (line.old) {
      if (line.html) show(line.html);
      else sheet.replaceChildren();
      age();
    } else if (line.html !== undefined) {
      wrong.hidden = true;
      show(line.html);
      age();
      elsewhere.hidden = line.elsewhere === undefined;
      elsewhere.querySelector("pre").textContent = line.elsewhere ?? "";
      say(differences() + (line.done ? "" : " The layout is being improved."));
    }
    under.textContent = line.progress ? "The layout of " + line.progress.material + " is at most " + line.progress.over + " over the least possible." : "";
  };

  const lines = async (response, each) => {
    const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "";
    for (;;) {
      const { value, done } = await reader.read();
      if (done) return;
      const parts = (rest + value).split("\n");
      rest = parts.pop();
      for (const p of parts) if (p) each(JSON.parse(p));
    }
  };

  // work asks for the numbers anew; what is still running for older values is given up.
  const work = async () => {
    running?.abort();
    running = new AbortController();
    const mineTurn = ++turn;
    sheet.setAttribute("aria-busy", "true");
    under.textContent = "";
    if (lacking().length) return wait();
    try {
      const response = await post("/try", wish(), running.signal);
      if (!response.ok) throw new Error(await response.text());
      await lines(response, (line) => { if (mineTurn === turn) told(line); });
    } catch (e) {
      if (e.name !== "AbortError") say("The bench does not answer: " + e.message);
    }
    if (mineTurn === turn) sheet.setAttribute("aria-busy", "false");
  };

  const wait = () => {
    const p = document.createElement("p");
    p.textContent = "The numbers come when the order says " + lacking().join(", ") + ".";
    sheet.replaceChildren(p);
    wrong.hidden = elsewhere.hidden = total.hidden = true;
    say("Still to give: " + lacking().join(", ") + ".");
    age();
    sheet.setAttribute("aria-busy", "false");
  };

  const soon = () => {
    paint();
    if (!id()) return;
    sheet.setAttribute("aria-busy", "true");
    clearTimeout(timer);
    timer = setTimeout(work, 150);
  };

  // Keeping.

  const kept = async (changes) => {
    if (recipe) {
      leaving = true;
      location.search = address({ order: id() });
      return;
    }
    for (const c of changes) {
      const now = mine.get(c.name);
      if (now?.to === c.to) mine.delete(c.name);
      else if (now) now.from = c.to;
    }
    say("Kept in the file.");
    await refresh();
  };

  const store = async () => {
    clash.hidden = true;
    storing = true;
    paint();
    const asked = wish();
    try {
      const response = await post("/keep", asked);
      if (response.ok) await kept(asked.changes);
      else if (response.status === 409) clashed((await response.json()).conflicts);
      else notKept(await response.text());
    } catch (e) {
      say("Not kept, the bench does not answer: " + e.message);
    }
    storing = false;
    paint();
  };

  const notKept = (text) => {
    complain(text);
    say("Not kept.");
  };

  const clashed = (conflicts) => {
    clash.replaceChildren(...conflicts.filter((c) => mine.has(c.name)).map(clashOf));
    clash.hidden = false;
    say("Not kept: the file was changed meanwhile.");
    clash.querySelector("button")?.focus();
  };

  const clashOf = (c) => {
    const wants = mine.get(c.name).to, p = document.createElement("p");
    const settle = (settled) => {
      settled();
      p.remove();
      clash.hidden = clash.children.length === 0;
      refresh();
      (clash.querySelector("button") ?? back).focus();
    };
    p.append(c.name.replaceAll("_", " ") + " was changed meanwhile, to " + words(c.now) + ". Here it is " + words(wants) + ". ",
      button("Take " + words(c.now), () => settle(() => mine.delete(c.name))), " ",
      button("Stay with " + words(wants), () => settle(() => { mine.get(c.name).from = c.now; })));
    return p;
  };

  const button = (text, does) => {
    const b = document.createElement("button");
    b.type = "button";
    b.textContent = text;
    b.addEventListener("click", does);
    return b;
  };

  const goBack = () => {
    mine.clear();
    clash.hidden = true;
    for (const f of fields()) f.value = f.dataset.kept;
    begin();
    soon();
  };

  // begin dates a new order, since one without a date is of another day tomorrow.
  const begin = () => {
    if (recipe) mine.set("date", { from: null, to: fields().find((f) => f.dataset.name === "date").value });
  };

  form.addEventListener("input", (e) => {
    if (e.target.dataset.name) want(e.target, wanted(e.target));
    if (e.target.id === "id") soon();
  });
  form.addEventListener("focusout", (e) => {
    const f = e.target;
    if (f.dataset.name && f.value.trim() === "" && f.dataset.usual) f.value = f.dataset.usual;
  });
  form.addEventListener("click", (e) => {
    if (!e.target.classList.contains("usual")) return;
    const f = e.target.closest(".ask").querySelector("[data-name]");
    f.value = f.dataset.usual;
    f.focus();
    want(f, null);
  });
  form.addEventListener("submit", (e) => e.preventDefault());
  keep.addEventListener("click", store);
  back.addEventListener("click", goBack);
  at("pick").addEventListener("change", (e) => { if (e.target.value) location.search = address({ order: e.target.value }); });
  at("new")?.addEventListener("change", (e) => { if (e.target.value) location.search = address({ new: e.target.value }); });
  window.addEventListener("beforeunload", (e) => { if (mine.size > (recipe ? 1 : 0) && !leaving) e.preventDefault(); });

  // A page that is not looked at lets go of its line, since a browser opens only a few to one place.
  let events = null;
  const listen = () => {
    events?.close();
    events = null;
    if (document.hidden) return;
    events = new EventSource("/events?" + address({}));
    events.addEventListener("message", (e) => { if (e.data !== version) refresh(); });
    events.addEventListener("error", (e) => {
      const closed = e.target.readyState === EventSource.CLOSED;
      say(closed ? "The bench was closed: open the address that it prints when it is started again." : "The bench does not answer: what is shown does not follow the files.");
    });
  };
  document.addEventListener("visibilitychange", listen);
  listen();
  begin();
  paint();
  if (id()) work();
})();
