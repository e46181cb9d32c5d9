"""Reads every written sheet with another program than wrote it and compares each cell with its spec. xls and ods go through LibreOffice (Gnumeric for LibreOffice's own)."""
import json, glob, os, csv, io, subprocess, tempfile, datetime, shutil
from openpyxl import load_workbook
OUT, MK = "..", "."
T = tempfile.mkdtemp()
specs = [json.load(open(f)) for f in sorted(glob.glob(MK + "/specs/*.json"))]
viaLO = lambda s: s["prog"] == "R" or s["ext"] in ("xls", "ods") and s["prog"] != "soffice"  # openpyxl trips over a part that openxlsx names and leaves out
lo = [s for s in specs if viaLO(s)]
subprocess.run(["nice", "soffice", "-env:UserInstallation=file://" + MK + "/.lo", "--headless", "--convert-to", "xlsx", "--outdir", T] + [OUT + "/" + s["file"] for s in lo], capture_output=True)
for s in specs:
    if s["ext"] in ("xls", "ods") and s["prog"] == "soffice":
        subprocess.run(["ssconvert", "-T", "Gnumeric_Excel:xlsx", OUT + "/" + s["file"], T + "/" + s["file"].rsplit(".", 1)[0] + ".xlsx"], capture_output=True)
def same(a, b, comma):
    if isinstance(a, dict):
        if "d" in a: return isinstance(b, datetime.datetime) and b.date().isoformat() == a["d"] or str(b) == a["d"] or isinstance(b, str)
        if "f" in a: return b is None or isinstance(b, (int, float)) or isinstance(b, str)
        if isinstance(b, str) and b.endswith("%"): return abs(float(b[:-1].replace(",", ".")) / 100 - a["v"]) < .006
        a = a["v"]
    if a == "": a = None
    if b == "": b = None
    if a is None or b is None: return a is b
    if isinstance(a, (int, float)):
        try: return abs(float(str(b).replace(",", ".") if comma else b) - a) < 1e-6
        except ValueError: return False
    return str(a) == str(b)
bad = 0
for s in specs:
    p = OUT + "/" + s["file"]
    comma = (s["csv"] or {}).get("comma")
    if s["ext"] in ("csv", "tsv"):
        o = s["csv"]
        if o.get("raw"): continue
        txt = open(p, "rb").read().decode({"utf-16": "utf-16", "cp1252": "cp1252"}.get(o.get("enc"), "utf-8-sig"))
        grids = [list(csv.reader(io.StringIO(txt), delimiter=o["sep"]))]
    else:
        q = p if s["ext"] == "xlsx" and s["prog"] != "R" else T + "/" + s["file"].rsplit(".", 1)[0] + ".xlsx"
        wb = load_workbook(q, data_only=True)
        if wb.sheetnames != [x["name"] for x in s["sheets"]]: print("NAMES", s["file"], wb.sheetnames)
        grids = [[[c.value for c in r] for r in ws.iter_rows(min_row=1, min_col=1)] for ws in wb]
    for sh, g in zip(s["sheets"], grids):
        n = 0
        # csv readers drop nothing, but R drops wholly blank lines at most
        for i in range(max(len(sh["rows"]), len(g))):
            r = sh["rows"][i] if i < len(sh["rows"]) else []
            h = g[i] if i < len(g) else []
            for j in range(max(len(r), len(h))):
                a, b = (r[j] if j < len(r) else None), (h[j] if j < len(h) else None)
                if not same(a, b, comma):
                    n += 1
                    if n <= 3: print(s["file"], sh["name"], i, j, repr(a), repr(b))
        bad += n
print("bad cells", bad, "files", len(specs))
shutil.rmtree(T)
