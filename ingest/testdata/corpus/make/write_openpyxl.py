"""Writes the sheets of specs with prog openpyxl, and the source workbooks that LibreOffice and Gnumeric convert."""
import json, glob, os, datetime
from openpyxl import Workbook
from openpyxl.styles import Font, PatternFill
OUT, MK = "..", "."
os.makedirs(MK + "/src", exist_ok=True)
for f in sorted(glob.glob(MK + "/specs/*.json")):
    s = json.load(open(f))
    if s["prog"] not in ("openpyxl", "soffice", "ssconvert"): continue
    wb = Workbook(); wb.remove(wb.active)
    for sh in s["sheets"]:
        ws = wb.create_sheet(sh["name"])
        for i, row in enumerate(sh["rows"], 1):
            for j, z in enumerate(row, 1):
                if z is None: continue
                cell = ws.cell(i, j)
                if isinstance(z, dict):
                    if "d" in z: cell.value = datetime.date.fromisoformat(z["d"])
                    elif "f" in z: cell.value = "=" + z["f"]
                    else: cell.value = z["v"]
                    if "fmt" in z: cell.number_format = z["fmt"]
                    if "fill" in z: cell.fill = PatternFill("solid", fgColor=z["fill"])
                    if z.get("strike"): cell.font = Font(strike=True)
                else: cell.value = z
                if isinstance(z, str) and z.startswith("="): cell.data_type = "s"
        for m in sh.get("merges") or []:
            ws.merge_cells(start_row=m[0] + 1, start_column=m[1] + 1, end_row=m[2] + 1, end_column=m[3] + 1)
        for r in sh.get("hidden") or []: ws.row_dimensions[r + 1].hidden = True
        for col in sh.get("hiddencols") or []: ws.column_dimensions["ABCDEFGHIJKLMNOP"[col]].hidden = True
    wb.save((OUT + "/" + s["file"]) if s["prog"] == "openpyxl" else MK + "/src/" + os.path.splitext(s["file"])[0] + ".xlsx")
