// Sorting, filtering, copying and saving of tables, and the way from what is drawn
// to its numbers. Nothing is sent anywhere, and everything can be read without it.
(function () {
  "use strict";

  // What happened, said to those who do not see it.
  const status = document.createElement("p");
  status.className = "said";
  status.setAttribute("role", "status");
  document.body.append(status);
  const say = (what) => { status.textContent = what; };

  const thin = /[\u2009\u202f\u00a0]/g;
  const text = (cell) => { // without the marks of notes
    const c = cell.cloneNode(true);
    c.querySelectorAll("sup").forEach((s) => s.remove());
    return c.textContent.trim();
  };
  // A spreadsheet reads digits without spaces and a hyphen for the sign.
  const plain = (s) => s.replace(/(\d)[\u2009\u202f\u00a0](?=\d{3})/g, "$1").replace(/\u2212/g, "-").replace(thin, " ");
  const number = (s) => {
    const m = plain(s).match(/^[<>\u2264\u2265+]?\s*(-?\d+(\.\d+)?)/);
    return m ? parseFloat(m[1]) : NaN;
  };
  const isHead = (row) => row.querySelector("th.group") !== null;

  const amount = /^[+-]?\d[\d.]*( ?(%|mm|°|points))?( \([^()=@|!]*\))?$/;
  const safe = (s) => (/^[=@\t\r+-]/.test(s) && !amount.test(s) ? "'" + s : s); // no formula in a spreadsheet
  const lines = (table, field) => Array.from(table.querySelectorAll("thead tr, tbody tr"))
    .filter((r) => !r.hidden)
    .map((r) => Array.from(r.cells).map((c) => field(safe(plain(text(c))))));
  const csv = (table) => lines(table, (s) => '"' + s.replace(/"/g, '""') + '"').map((r) => r.join(",")).join("\r\n") + "\r\n";
  const tabbed = (table) => lines(table, (s) => s.replace(/\s+/g, " ")).map((r) => r.join("\t")).join("\n") + "\n";

  // Copying without the permission that a page of a file may not be given.
  const copyOldWay = (content) => {
    const area = document.createElement("textarea"), before = document.activeElement;
    area.value = content;
    area.className = "said";
    document.body.append(area);
    area.select();
    const done = document.execCommand("copy");
    area.remove();
    before.focus();
    return done;
  };
  const copy = async (table, name) => {
    const content = tabbed(table);
    let done = true;
    try { await navigator.clipboard.writeText(content); } catch { done = copyOldWay(content); }
    say(done ? name + ": copied" : name + ": could not be copied; select the table and copy it by hand");
  };
  const save = (table, name) => {
    const a = document.createElement("a");
    a.href = URL.createObjectURL(new Blob(["\ufeff" + csv(table)], { type: "text/csv" }));
    a.download = (table.id || "table") + ".csv";
    a.click();
    setTimeout(() => URL.revokeObjectURL(a.href), 10000);
    say(name + ": saved as " + a.download);
  };

  const compare = (a, b, down) => { // what is no number comes last, whichever the way
    const x = number(a), y = number(b);
    if (isNaN(x) !== isNaN(y)) { return isNaN(x) ? 1 : -1; }
    const d = isNaN(x) ? a.localeCompare(b) : x - y;
    return down ? -d : d;
  };
  const next = { none: "ascending", ascending: "descending", descending: "none" };
  const sort = (table, th) => { // within the groups; the third time as it was
    const to = next[th.getAttribute("aria-sort") || "none"], column = th.cellIndex;
    table.querySelectorAll("thead th").forEach((h) => h.removeAttribute("aria-sort"));
    if (to !== "none") { th.setAttribute("aria-sort", to); }
    Array.from(table.tBodies).forEach((body) => {
      const rows = Array.from(body.rows).filter((r) => !isHead(r));
      rows.sort((a, b) => (to === "none" ? a.dataset.at - b.dataset.at : compare(text(a.cells[column]), text(b.cells[column]), to === "descending")));
      body.append(...rows);
    });
    say(to === "none" ? "in the order of the report" : "sorted by " + text(th) + ", " + to);
  };

  const has = (row, want) => Array.from(row.cells).some((c) => plain(text(c)).toLowerCase().includes(want));
  const filter = (table, want) => {
    let shown = 0, all = 0;
    Array.from(table.tBodies).forEach((body) => {
      const heads = Array.from(body.rows).filter(isHead);
      const whole = heads.some((r) => has(r, want));
      let any = false;
      Array.from(body.rows).filter((r) => !isHead(r)).forEach((r) => {
        r.hidden = !whole && !has(r, want);
        any = any || !r.hidden;
        all++;
        shown += r.hidden ? 0 : 1;
      });
      heads.forEach((r) => { r.hidden = !any; });
    });
    say(shown + " of " + all + " rows");
  };

  const button = (label, name, act) => {
    const b = document.createElement("button");
    b.type = "button";
    b.textContent = label;
    b.setAttribute("aria-label", label + ": " + name);
    b.addEventListener("click", act);
    return b;
  };
  const filterBox = (table, name) => {
    const input = document.createElement("input");
    input.type = "search";
    input.placeholder = "filter rows";
    input.setAttribute("aria-label", "filter rows: " + name);
    input.addEventListener("input", () => filter(table, input.value.trim().toLowerCase()));
    return input;
  };
  const equip = (table) => {
    const caption = table.querySelector("caption strong");
    const name = caption ? text(caption) : "table", bar = document.createElement("div");
    bar.className = "tools";
    const rows = Array.from(table.querySelectorAll("tbody tr"));
    rows.forEach((r, i) => { r.dataset.at = i; });
    if (rows.length > 8) { bar.append(filterBox(table, name)); }
    bar.append(button("copy", name, () => copy(table, name)), button("save as CSV", name, () => save(table, name)));
    table.parentNode.after(bar);
    if (rows.length < 2) { return; }
    table.querySelectorAll("thead th").forEach((th) => {
      const b = document.createElement("button");
      b.type = "button";
      b.append(...th.childNodes);
      b.addEventListener("click", () => sort(table, th));
      th.append(b);
    });
  };
  document.querySelectorAll("table:not(.fill)").forEach(equip); // one to be filled in by hand has nothing to sort or copy

  // What is wider than its place says so.
  const measure = () => document.querySelectorAll(".draw, .scroll").forEach((x) => x.toggleAttribute("data-wide", x.scrollWidth > x.clientWidth + 1));
  addEventListener("resize", measure);
  addEventListener("toggle", measure, true);
  measure();

  // From a mark of a figure to its numbers below; the keyboard finds them there.
  document.querySelectorAll("figure").forEach((figure) => {
    const cells = new Map();
    figure.querySelectorAll("[data-of]").forEach((c) => cells.set(c.dataset.of, c));
    figure.querySelectorAll("g[data-key]").forEach((g) => {
      const cell = cells.get(g.dataset.key);
      if (!cell || g.closest("a")) { return; }
      g.classList.add("leads");
      g.addEventListener("click", () => {
        const fold = cell.closest("details"), row = cell.parentNode;
        if (fold) { fold.open = true; }
        row.tabIndex = -1;
        row.focus();
        row.scrollIntoView({ block: "center" });
      });
    });
  });
}());
