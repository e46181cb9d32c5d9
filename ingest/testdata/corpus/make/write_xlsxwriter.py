import json, glob, datetime, xlsxwriter
OUT, MK = "..", "."
for f in sorted(glob.glob(MK + "/specs/*.json")):
    s = json.load(open(f))
    if s["prog"] != "xlsxwriter": continue
    wb = xlsxwriter.Workbook(OUT + "/" + s["file"])
    bold = wb.add_format({"bold": True})
    for sh in s["sheets"]:
        ws = wb.add_worksheet(sh["name"])
        mg = {(m[0], m[1]): m for m in sh.get("merges") or []}
        for i, row in enumerate(sh["rows"]):
            for j, z in enumerate(row):
                if (i, j) in mg:
                    ws.merge_range(*mg[(i, j)], z, bold); continue
                if z is None: continue
                if isinstance(z, dict):
                    fm = wb.add_format({k: v for k, v in (("num_format", z.get("fmt")), ("bg_color", z.get("fill") and "#" + z["fill"]), ("font_strikeout", z.get("strike"))) if v})
                    if "d" in z: ws.write_datetime(i, j, datetime.datetime.fromisoformat(z["d"]), fm)
                    elif "f" in z: ws.write_formula(i, j, "=" + z["f"], fm, z["v"])
                    else: ws.write(i, j, z["v"], fm)
                elif isinstance(z, str): ws.write_string(i, j, z)
                else: ws.write_number(i, j, z)
        for r in sh.get("hidden") or []: ws.set_row(r, None, None, {"hidden": True})
    wb.close()
