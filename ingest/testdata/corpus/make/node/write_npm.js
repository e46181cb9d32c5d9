// Writes the specs with prog node (exceljs) and sheetjs (xlsx)
const fs = require('fs'), ExcelJS = require('exceljs'), XLSX = require('xlsx');
const dir = './specs/';
(async () => {
  for (const f of fs.readdirSync(dir).sort()) {
    const s = JSON.parse(fs.readFileSync(dir + f));
    const out = '../' + s.file;
    if (s.prog === 'node') {
      const wb = new ExcelJS.Workbook();
      for (const sh of s.sheets) {
        const ws = wb.addWorksheet(sh.name);
        sh.rows.forEach((row, i) => row.forEach((z, j) => {
          if (z === null) return;
          const c = ws.getCell(i + 1, j + 1);
          if (typeof z === 'object') {
            if (z.d) c.value = new Date(z.d + 'T00:00:00Z'); else if (z.f) c.value = {formula: z.f, result: z.v}; else c.value = z.v;
            if (z.fmt) c.numFmt = z.fmt;
            if (z.fill) c.fill = {type: 'pattern', pattern: 'solid', fgColor: {argb: 'FF' + z.fill}};
            if (z.strike) c.font = {strike: true};
          } else c.value = z;
        }));
        for (const m of sh.merges || []) ws.mergeCells(m[0] + 1, m[1] + 1, m[2] + 1, m[3] + 1);
      }
      await wb.xlsx.writeFile(out);
    } else if (s.prog === 'sheetjs') {
      const wb = XLSX.utils.book_new();
      for (const sh of s.sheets) {
        const ws = XLSX.utils.aoa_to_sheet(sh.rows.map(r => r.map(z => z !== null && typeof z === 'object' ? (z.d ? new Date(z.d) : z.v) : z)));
        if (sh.merges) ws['!merges'] = sh.merges.map(m => ({s: {r: m[0], c: m[1]}, e: {r: m[2], c: m[3]}}));
        XLSX.utils.book_append_sheet(wb, ws, sh.name);
      }
      XLSX.writeFile(wb, out, {bookType: {xls: 'biff8', ods: 'ods', xlsx: 'xlsx', csv: 'csv'}[s.ext]});
    }
  }
})();
