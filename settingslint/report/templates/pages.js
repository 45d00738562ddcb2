"use strict";
// Sorting, searching and filtering of the tables that are already in the page. Without this script they are all there.
(() => {
  // a long table is two: the second one, folded away, goes on where the first one ends
  const parts = new Map();
  for (const table of document.querySelectorAll("table.sortable")) {
    const whole = table.closest(".long") ?? table;
    parts.set(whole, [...(parts.get(whole) ?? []), table]);
  }
  const key = (cell) => {
    const text = cell.dataset.order ?? cell.textContent.trim();
    const number = /^-?[\d,]*\.?\d+(?=$| )/.exec(text)?.[0].replaceAll(",", "");
    return number === undefined ? text.toLocaleLowerCase() : Number(number);
  };
  const sort = (tables, column, down) => {
    const bodies = tables.map((table) => table.tBodies[0]);
    const room = bodies.map((body) => body.rows.length);
    const rows = bodies.flatMap((body) => [...body.rows]);
    rows.sort((one, other) => {
      const a = key(one.cells[column]), b = key(other.cells[column]);
      const order = typeof a === typeof b ? (a < b ? -1 : a > b ? 1 : 0) : typeof a === "number" ? -1 : 1;
      return down ? -order : order;
    });
    bodies.forEach((body, index) => body.append(...rows.splice(0, room[index])));
    tables.forEach((table) => [...table.tHead.rows[0].cells].forEach((head, at) => {
      if (at === column) head.setAttribute("aria-sort", down ? "descending" : "ascending");
      else head.removeAttribute("aria-sort");
    }));
  };
  for (const tables of parts.values()) {
    for (const table of tables) {
      [...table.tHead.rows[0].cells].forEach((head, column) => {
        const button = document.createElement("button");
        button.type = "button";
        button.append(...head.childNodes);
        head.append(button);
        button.addEventListener("click", () => sort(tables, column, head.getAttribute("aria-sort") === "ascending"));
      });
    }
  }
  let opened = [];
  const open = (wanted) => {
    const shut = [...document.querySelectorAll("details:not([open])")].filter(wanted);
    shut.forEach((one) => { one.open = true; });
    opened.push(...shut);
  };
  const shut = () => {
    opened.forEach((one) => { one.open = false; });
    opened = [];
  };
  const lead = () => {
    const target = location.hash.length > 1 ? document.getElementById(location.hash.slice(1)) : null;
    const folded = target?.closest("details");
    if (folded) folded.open = true;
  };
  addEventListener("hashchange", lead);
  lead();
  addEventListener("beforeprint", () => open((one) => !one.matches(".aside, .unprinted")));
  addEventListener("afterprint", shut);
  const bar = document.querySelector(".filter");
  if (!bar) return;
  bar.hidden = false;
  const find = document.getElementById("find");
  const severity = document.getElementById("severity");
  const count = document.getElementById("count");
  const rows = [...parts.values()].flat().flatMap((table) => [...table.tBodies[0].rows]);
  let texts;
  const update = () => {
    texts ??= rows.map((row) => row.textContent.toLocaleLowerCase());
    const wanted = find.value.trim().toLocaleLowerCase();
    let shown = 0;
    rows.forEach((row, index) => {
      const fits = texts[index].includes(wanted) && texts[index].includes(severity.value);
      row.hidden = !fits;
      shown += fits ? 1 : 0;
    });
    shut();
    if (wanted || severity.value) open((one) => one.querySelector("tbody tr:not([hidden])"));
    count.textContent = wanted || severity.value ? `${shown} of ${rows.length} rows` : "";
  };
  find.addEventListener("input", update);
  severity.addEventListener("change", update);
})();
