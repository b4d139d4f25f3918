"use strict";
// A table sorts by the column whose heading is pressed: first upwards, then downwards; what is missing stays last.
function keyOf(row, place) {
  const text = row.cells[place].textContent.trim();
  if (text === "-" || text === "") return null;
  const number = Number(text.replace(/[()*,\s]/g, ""));
  return Number.isNaN(number) ? text : number;
}

function compare(one, other) {
  if (typeof one === "number" && typeof other === "number") return one - other;
  return String(one).localeCompare(String(other), "en", { numeric: true });
}

function sortBy(head) {
  const table = head.closest("table");
  const way = head.getAttribute("aria-sort") === "ascending" ? -1 : 1;
  for (const sorted of table.querySelectorAll("th[aria-sort]")) sorted.removeAttribute("aria-sort");
  head.setAttribute("aria-sort", way > 0 ? "ascending" : "descending");
  const place = Number(head.dataset.column);
  const rows = Array.from(table.tBodies[0].rows, (row) => [keyOf(row, place), row]);
  rows.sort(([one], [other]) => {
    if (one === null || other === null) return (one === null) - (other === null);
    return way * compare(one, other);
  });
  table.tBodies[0].append(...rows.map(([, row]) => row));
}

for (const button of document.querySelectorAll("th > button")) {
  button.addEventListener("click", () => sortBy(button.parentElement));
}
