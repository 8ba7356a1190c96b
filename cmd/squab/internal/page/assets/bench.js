"use strict";
(() => {
  const { key, order } = document.body.dataset;
  let version = document.body.dataset.version;
  const at = (id) => document.getElementById(id);
  const [sheet, said, total, clash, problems, keep, back] = ["sheet", "said", "total", "clash", "problems", "keep", "back"].map(at);
  const fields = [...document.querySelectorAll("[data-ask]")];
  const changed = () => fields.filter((f) => f.value.trim() !== f.dataset.kept);
  let under = null, timer = 0, counter = 0;

  const post = (path, body, signal) => fetch(path, {
    method: "POST", signal, headers: { "Content-Type": "application/json", "X-Squab-Key": key }, body: JSON.stringify(body),
  });

  const paint = () => {
    const dirty = changed();
    for (const f of fields) f.closest(".ask").classList.toggle("dirty", dirty.includes(f));
    keep.disabled = back.disabled = dirty.length === 0;
  };

  // The derivations that are open stay open, and the page stays where it is.
  const show = (html) => {
    const open = [...sheet.querySelectorAll("details[open][data-why]")].map((d) => d.dataset.why);
    const ticked = [...sheet.querySelectorAll("input:checked")].map((i) => i.getAttribute("aria-label"));
    const top = window.scrollY;
    sheet.innerHTML = html;
    for (const d of sheet.querySelectorAll("details[data-why]")) if (open.includes(d.dataset.why)) d.open = true;
    for (const i of sheet.querySelectorAll("input")) if (ticked.includes(i.getAttribute("aria-label"))) i.checked = true;
    window.scrollTo(0, top);
    const price = sheet.querySelector('[data-why="price.total"] > summary data');
    total.textContent = price ? "Total " + price.textContent : "";
  };

  const told = (line) => {
    if (line.problems !== undefined) {
      problems.textContent = line.problems;
      problems.hidden = false;
      sheet.classList.add("old");
      said.textContent = "This cannot be made; the sheet below is the last that could.";
      return;
    }
    if (line.html !== undefined) {
      problems.hidden = true;
      sheet.classList.remove("old");
      show(line.html);
      const n = sheet.querySelectorAll(".num.changed").length;
      said.textContent = n ? n + (n === 1 ? " number differs from what is kept" : " numbers differ from what is kept") : "As kept in the file.";
      if (!line.done) said.textContent += " The layout is being improved.";
    }
    if (line.progress) said.textContent = "Improving the layout of " + line.progress.material + ": " + line.progress.over + " over the least that it could be.";
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

  const work = async () => {
    if (under) under.abort();
    const mine = under = new AbortController();
    const turn = ++counter;
    sheet.setAttribute("aria-busy", "true");
    try {
      const values = Object.fromEntries(changed().map((f) => [f.dataset.ask, f.value.trim()]));
      const response = await post("/try", { order, values }, mine.signal);
      if (!response.ok) throw new Error(await response.text());
      await lines(response, (line) => { if (turn === counter) told(line); });
    } catch (e) {
      if (e.name !== "AbortError") said.textContent = "The bench does not answer: " + e.message;
    }
    if (turn === counter) sheet.setAttribute("aria-busy", "false");
  };

  const soon = () => { paint(); sheet.setAttribute("aria-busy", "true"); clearTimeout(timer); timer = setTimeout(work, 200); };

  // What the file says now: fields that were not touched here follow it, the others say what it says.
  const refresh = async () => {
    const response = await fetch("/order?" + new URLSearchParams({ key, order }));
    if (!response.ok) return;
    const now = await response.json();
    version = now.version;
    if (now.problems) {
      problems.textContent = now.problems;
      problems.hidden = false;
      said.textContent = "The files have problems; what is shown is from before.";
      return;
    }
    for (const f of fields) {
      const text = now.asks[f.dataset.ask];
      if (text === undefined) continue;
      const note = f.closest(".ask").querySelector(".note");
      const touched = f.value.trim() !== f.dataset.kept;
      if (!touched) {
        f.value = text.text;
        f.dataset.kept = text.text;
        f.dataset.given = text.given;
        note.hidden = true;
        continue;
      }
      note.hidden = text.text === f.dataset.kept;
      note.textContent = "the file now says " + text.text;
    }
    soon();
  };

  const settled = (f) => { f.dataset.kept = f.value.trim(); f.dataset.given = "true"; f.closest(".ask").querySelector(".note").hidden = true; };

  const store = async () => {
    const dirty = changed();
    clash.hidden = true;
    const changes = dirty.map((f) => ({ ask: f.dataset.ask, from: f.dataset.kept, given: f.dataset.given === "true", to: f.value.trim() }));
    const response = await post("/keep", { order, changes });
    if (response.ok) {
      for (const c of changes) {
        const f = fields.find((f) => f.dataset.ask === c.ask);
        if (f.value.trim() === c.to) settled(f);
      }
      paint();
      await refresh();
      said.textContent = "Kept in the file.";
      return;
    }
    if (response.status === 409) return clashed(await response.json());
    problems.textContent = await response.text();
    problems.hidden = false;
    said.textContent = "Not kept.";
  };

  const clashed = ({ conflicts }) => {
    clash.replaceChildren();
    for (const c of conflicts) {
      const f = fields.find((f) => f.dataset.ask === c.ask);
      const p = document.createElement("p");
      p.textContent = c.ask.replaceAll("_", " ") + " was changed meanwhile, to " + c.now + ". Here it is " + f.value + ". ";
      const theirs = document.createElement("button"), mine = document.createElement("button");
      theirs.type = mine.type = "button";
      theirs.textContent = "Take " + c.now;
      mine.textContent = "Stay with " + f.value;
      const done = () => { f.dataset.kept = c.now; f.dataset.given = String(c.given); f.closest(".ask").querySelector(".note").hidden = true; p.remove(); clash.hidden = clash.children.length === 0; soon(); };
      theirs.addEventListener("click", () => { f.value = c.now; done(); });
      mine.addEventListener("click", done);
      p.append(theirs, " ", mine);
      clash.append(p);
    }
    clash.hidden = false;
    said.textContent = "Not kept: somebody else changed the same.";
    clash.querySelector("button").focus();
  };

  for (const f of fields) f.addEventListener("input", soon);
  keep.addEventListener("click", store);
  back.addEventListener("click", () => { for (const f of fields) f.value = f.dataset.kept; soon(); });
  at("asks").addEventListener("submit", (e) => e.preventDefault());
  at("pick").addEventListener("change", (e) => { location.search = new URLSearchParams({ key, order: e.target.value }); });
  window.addEventListener("beforeunload", (e) => { if (changed().length) e.preventDefault(); });
  const events = new EventSource("/events?" + new URLSearchParams({ key }));
  events.addEventListener("message", (e) => { if (e.data !== version) refresh(); });
  paint();
  work();
})();
