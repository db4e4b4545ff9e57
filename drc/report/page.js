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

(() => {
  const value = (row, column) => {
    const cell = row.cells[column];
    return "number" in cell.dataset ? Number(cell.dataset.number) : cell.textContent;
  };
  const order = (a, b) => (typeof a === "number" && typeof b === "number" ? a - b : String(a).localeCompare(String(b)));

  for (const table of document.querySelectorAll("table[data-sortable]")) {
    const heads = [...table.tHead.rows[0].cells];
    const body = table.tBodies[0];
    heads.forEach((head, column) => {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "sort";
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () => {
        const turn = head.getAttribute("aria-sort") === "ascending" ? -1 : 1;
        const rows = [...body.rows].sort((a, b) => turn * order(value(a, column), value(b, column)));
        for (const other of heads) other.removeAttribute("aria-sort");
        head.setAttribute("aria-sort", turn > 0 ? "ascending" : "descending");
        body.append(...rows);
      });
    });
  }
})();
