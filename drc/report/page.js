"use strict";
(() => {
  const form = document.getElementById("filter");
  if (!form) return;
  const level = document.getElementById("filter-level");
  const text = document.getElementById("filter-text");
  const told = document.getElementById("filter-told");
  const findings = [...document.querySelectorAll("[data-level]")];
  const blocks = [...document.querySelectorAll("[data-block]")];
  const ranks = { note: 0, warning: 1, error: 2 };

  const fits = (item, words) => words.every((word) => item.dataset.text.includes(word));
  const apply = () => {
    const words = text.value.toLowerCase().split(/\s+/).filter(Boolean);
    const wanted = level.value;
    let shown = 0;
    for (const item of findings) {
      const open = item.dataset.state === "new";
      const right = wanted === "all" || (open && ranks[item.dataset.level] >= ranks[wanted]);
      item.hidden = !(right && fits(item, words));
      shown += item.hidden ? 0 : 1;
    }
    let sections = 0;
    for (const item of blocks) {
      const own = findings.some((f) => !f.hidden && f.dataset.of === item.id);
      item.hidden = !(own || (wanted === "all" && fits(item, words)));
      sections += item.hidden ? 0 : 1;
    }
    told.textContent = `${shown} of ${findings.length} findings and ${sections} of ${blocks.length} blocks shown`;
  };

  form.hidden = false;
  form.addEventListener("input", apply);
  form.addEventListener("reset", () => setTimeout(apply));
  form.addEventListener("submit", (event) => event.preventDefault());
  window.addEventListener("hashchange", () => {
    const target = document.getElementById(location.hash.slice(1));
    if (target && target.closest("[hidden]")) {
      form.reset();
      setTimeout(() => target.scrollIntoView());
    }
  });
  apply();
})();
