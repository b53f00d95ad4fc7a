"use strict";
(function () {
  // Nothing is taken away but on the screen: paper and readers without this script have every table.
  var shown = {};
  function apply() {
    ["size", "metric", "low"].forEach(function (what) {
      document.querySelectorAll("[data-" + what + "]").forEach(function (e) {
        e.classList.toggle("off", Boolean(shown[what]) && e.getAttribute("data-" + what) !== shown[what]);
      });
    });
  }
  document.querySelectorAll("[data-switch]").forEach(function (s) {
    var what = s.getAttribute("data-switch");
    shown[what] = s.value;
    s.addEventListener("change", function () {
      shown[what] = s.value;
      apply();
    });
  });
  document.getElementById("switches").hidden = false;
  apply();

  function key(row, column, figure) {
    var cell = row.cells[column], text = cell.textContent.trim();
    var number = cell.getAttribute("data-sort");
    if (number === null && figure && /^[\d.]+$/.test(text)) { number = text; }
    return number === null ? text : Number(number);
  }
  // Numbers stand before words, and rows that have nothing to say at the end, whichever way it is sorted.
  function compare(a, b, down) {
    if (typeof a !== typeof b) { return typeof a === "number" ? -1 : 1; }
    if (typeof a === "number") { return down ? b - a : a - b; }
    if ((a === "" || a === "–") !== (b === "" || b === "–")) { return a === "" || a === "–" ? 1 : -1; }
    var order = a.localeCompare(b, "en", { numeric: true });
    return down ? -order : order;
  }
  function sort(table, head) {
    var heads = Array.prototype.slice.call(table.tHead.rows[0].cells);
    var column = heads.indexOf(head);
    var figure = head.classList.contains("figure");
    var before = head.getAttribute("aria-sort");
    var down = before ? before === "ascending" : figure;
    var body = table.tBodies[0];
    var rows = Array.prototype.map.call(body.rows, function (row, place) { return { row: row, key: key(row, column, figure), place: place }; });
    rows.sort(function (a, b) { return compare(a.key, b.key, down) || a.place - b.place; });
    rows.forEach(function (x) { body.appendChild(x.row); });
    heads.forEach(function (h) { h.removeAttribute("aria-sort"); });
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
  }
  document.querySelectorAll("table.grid").forEach(function (table) {
    if (table.tBodies[0].rows.length < 2) { return; }
    Array.prototype.forEach.call(table.tHead.rows[0].cells, function (head) {
      var button = document.createElement("button");
      button.type = "button";
      while (head.firstChild) { button.appendChild(head.firstChild); }
      head.appendChild(button);
      button.addEventListener("click", function () { sort(table, head); });
    });
  });
})();
