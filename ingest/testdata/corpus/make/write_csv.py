import json, glob, csv, io
OUT, MK = "..", "."
def cell(z, comma):
    if z is None: return ""
    if isinstance(z, dict):
        if "d" in z: return z["d"]
        if str(z.get("fmt", "")).endswith("%"): return "%d%%" % round(100 * z["v"])
        z = z["v"]
    if isinstance(z, float) and comma: return str(z).replace(".", ",")
    return str(z)
for f in sorted(glob.glob(MK + "/specs/*.json")):
    s = json.load(open(f))
    if s["prog"] != "pycsv": continue
    o = s["csv"]
    b = io.StringIO()
    w = csv.writer(b, delimiter=o["sep"], lineterminator=o.get("eol", "\r\n"), quoting=csv.QUOTE_ALL if o.get("quote") else csv.QUOTE_MINIMAL)
    if o.get("raw"):
        for r in s["sheets"][0]["rows"]: b.write(o["sep"].join(cell(z, o.get("comma")) for z in r) + "\r\n")
    else:
        for r in s["sheets"][0]["rows"]: w.writerow([cell(z, o.get("comma")) for z in r])
    t = b.getvalue()
    if o.get("enc") == "cp1252":
        for a, z in (("–", "-"), ("Δ", "Diff."), ("→", ">")):
            if a not in "–": t = t.replace(a, z)
    open(OUT + "/" + s["file"], "wb").write(t.encode(o.get("enc", "utf-8")))
