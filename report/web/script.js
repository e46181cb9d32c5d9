// Sorting, filtering, copying and saving of tables. Nothing is sent anywhere,
// and everything can be read without it.
(function () {
  "use strict";
  var text = function (cell) { // without the marks of notes
    var c = cell.cloneNode(true);
    c.querySelectorAll("sup").forEach(function (s) { s.remove(); });
    return c.textContent.trim();
  };
  var number = function (s) {
    var m = s.replace(/[\u2009\u00a0 ](?=\d{3})/g, "").replace("\u2212", "-").match(/^[<>+]?\s*(-?\d+(\.\d+)?)/);
    return m ? parseFloat(m[1]) : NaN;
  };
  var rows = function (table) { return Array.from(table.querySelectorAll("thead tr, tbody tr")); };
  var csv = function (table, sep) {
    return rows(table).filter(function (r) { return !r.hidden; }).map(function (r) {
      return Array.from(r.cells).map(function (c) {
        var s = text(c);
        if (/^[=@\t\r]/.test(s) || /^[+-](?![\d.])/.test(s)) { s = "'" + s; } // no formula in a spreadsheet
        return sep === "," ? '"' + s.replace(/"/g, '""') + '"' : s;
      }).join(sep);
    }).join("\r\n") + "\r\n";
  };
  var button = function (label, name, act) {
    var b = document.createElement("button");
    b.type = "button"; b.textContent = label; b.setAttribute("aria-label", label + ": " + name);
    b.addEventListener("click", act);
    return b;
  };
  var sort = function (table, column, th) {
    var up = th.getAttribute("aria-sort") !== "ascending";
    table.querySelectorAll("thead th").forEach(function (h) { h.removeAttribute("aria-sort"); });
    th.setAttribute("aria-sort", up ? "ascending" : "descending");
    Array.from(table.tBodies).forEach(function (body) {
      var all = Array.from(body.rows), data = all.filter(function (r) { return r.cells.length > column; });
      data.sort(function (a, b) {
        var x = text(a.cells[column]), y = text(b.cells[column]), nx = number(x), ny = number(y);
        var d = isNaN(nx) || isNaN(ny) ? (isNaN(nx) - isNaN(ny)) || x.localeCompare(y) : nx - ny;
        return up ? d : -d;
      });
      data.forEach(function (r) { body.appendChild(r); });
    });
  };
  document.querySelectorAll("table").forEach(function (table) {
    var name = text(table.querySelector("caption strong")), bar = document.createElement("div");
    bar.className = "tools";
    if (table.tBodies.length && table.querySelectorAll("tbody tr").length > 8) {
      var input = document.createElement("input");
      input.type = "search"; input.placeholder = "filter rows"; input.setAttribute("aria-label", "filter rows: " + name);
      input.addEventListener("input", function () {
        var want = input.value.toLowerCase();
        table.querySelectorAll("tbody tr").forEach(function (r) { r.hidden = r.textContent.toLowerCase().indexOf(want) < 0; });
      });
      bar.appendChild(input);
    }
    bar.appendChild(button("copy", name, function () { navigator.clipboard.writeText(csv(table, "\t")); }));
    bar.appendChild(button("save as CSV", name, function () {
      var a = document.createElement("a");
      a.href = URL.createObjectURL(new Blob(["\ufeff" + csv(table, ",")], { type: "text/csv" }));
      a.download = (table.id || "table") + ".csv";
      a.click();
      URL.revokeObjectURL(a.href);
    }));
    table.parentNode.after(bar);
    table.querySelectorAll("thead th").forEach(function (th) {
      var column = th.cellIndex, b = document.createElement("button");
      b.type = "button";
      while (th.firstChild) { b.appendChild(th.firstChild); }
      b.addEventListener("click", function () { sort(table, column, th); });
      th.appendChild(b);
    });
  });
}());
