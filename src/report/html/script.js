"use strict";
// Sorts a long table by a column and finds a row in it. Without script the
// table stands in its own order.
for (const region of document.querySelectorAll(".table.long")) {
  const table = region.querySelector("table");
  const body = table.tBodies[0];
  const heads = [...table.tHead.rows[0].cells];
  const rows = [...body.rows];
  if (rows.length < 2) continue;
  const value = (row, column, figures) => {
    const text = row.cells[column].textContent;
    if (!figures) return text.toLowerCase();
    const number = parseFloat(text.replaceAll(",", ""));
    return Number.isNaN(number) ? -Infinity : number;
  };
  heads.forEach((head, column) => {
    const figures = head.classList.contains("n");
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = head.textContent;
    head.replaceChildren(button);
    button.addEventListener("click", () => {
      const down = head.getAttribute("aria-sort") === "ascending";
      for (const other of heads) other.removeAttribute("aria-sort");
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      const keyed = rows.map((row, at) => [value(row, column, figures), at, row]);
      const compare = (a, b) => (a < b ? -1 : a > b ? 1 : 0);
      keyed.sort((a, b) => (down ? compare(b[0], a[0]) : compare(a[0], b[0])) || a[1] - b[1]);
      body.append(...keyed.map((entry) => entry[2]));
    });
  });
  const label = document.createElement("label");
  label.className = "find";
  label.textContent = "find a row";
  const input = document.createElement("input");
  input.type = "search";
  label.append(input);
  region.before(label);
  input.addEventListener("input", () => {
    const wanted = input.value.trim().toLowerCase();
    for (const row of rows) row.hidden = !row.textContent.toLowerCase().includes(wanted);
  });
}
