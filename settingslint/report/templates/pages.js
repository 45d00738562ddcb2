"use strict";
// Sorting, searching and filtering of the tables that are already in the page. Without this script they are all there.
(() => {
  const tables = [...document.querySelectorAll("table.sortable")];
  const key = (cell) => {
    const text = cell.dataset.order ?? cell.textContent.trim();
    const number = Number(text.replaceAll(",", ""));
    return text !== "" && Number.isFinite(number) ? number : text.toLocaleLowerCase();
  };
  for (const table of tables) {
    const heads = [...table.tHead.rows[0].cells];
    heads.forEach((head, column) => {
      const button = document.createElement("button");
      button.type = "button";
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () => {
        const down = head.getAttribute("aria-sort") === "ascending";
        heads.forEach((one) => one.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", down ? "descending" : "ascending");
        const rows = [...table.tBodies[0].rows];
        rows.sort((one, other) => {
          const a = key(one.cells[column]), b = key(other.cells[column]);
          const order = typeof a === typeof b ? (a < b ? -1 : a > b ? 1 : 0) : typeof a === "number" ? -1 : 1;
          return down ? -order : order;
        });
        table.tBodies[0].append(...rows);
      });
    });
  }
  const bar = document.querySelector(".filter");
  if (!bar) return;
  bar.hidden = false;
  const find = document.getElementById("find");
  const severity = document.getElementById("severity");
  const count = document.getElementById("count");
  const rows = tables.flatMap((table) => [...table.tBodies[0].rows]);
  const update = () => {
    const wanted = find.value.trim().toLocaleLowerCase();
    let shown = 0;
    for (const row of rows) {
      const text = row.textContent.toLocaleLowerCase();
      const fits = text.includes(wanted) && (severity.value === "" || text.includes(severity.value));
      row.hidden = !fits;
      shown += fits ? 1 : 0;
    }
    count.textContent = wanted || severity.value ? `${shown} of ${rows.length} rows` : "";
  };
  find.addEventListener("input", update);
  severity.addEventListener("change", update);
})();
