"use strict";
(() => {
  const box = document.getElementById("find"), said = document.getElementById("found");
  const items = [...document.querySelectorAll("[data-find]")];
  const groups = [...document.querySelectorAll("[data-group]")];
  const look = () => {
    const wanted = box.value.toLowerCase().split(/\s+/).filter(Boolean);
    let shown = 0;
    for (const item of items) {
      item.hidden = !wanted.every((w) => item.dataset.find.includes(w));
      if (!item.hidden) shown++;
    }
    for (const group of groups) group.hidden = wanted.length > 0 && !group.querySelector("[data-find]:not([hidden])");
    said.textContent = wanted.length ? shown + " found" : "";
  };
  document.getElementById("search").hidden = false;
  box.addEventListener("input", look);
  document.addEventListener("click", (e) => {
    const link = e.target.closest('a[href^="#"]');
    const there = link && document.getElementById(link.hash.slice(1));
    if (there && there.closest("[hidden]")) { box.value = ""; look(); }
  });
  document.addEventListener("keydown", (e) => {
    if (e.key === "/" && document.activeElement !== box) { e.preventDefault(); box.focus(); }
    if (e.key === "Escape" && document.activeElement === box) { box.value = ""; look(); }
  });
  look();
})();
