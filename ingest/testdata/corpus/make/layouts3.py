"""More ordinary sheets and traps: own words, two tables on a sheet, other sheets beside, compound cells, ranges of teeth."""
from core import *
import layouts1 as L
from layouts1 import S, by, flat, log_moves
from layouts2 import fin, POS, NEG

OWN = dict(
 en=dict(good="all day", fair="mostly nights", poor="hardly ever", completed="in retention", discontinued="dropped out", switched="finished with brackets", transferred="moved to another practice", adult="grown-up", teen="schoolchild"),
 de=dict(good="trägt immer", fair="trägt meist", poor="trägt selten", completed="in Retention", discontinued="Patient hat aufgehört", switched="mit Brackets beendet", transferred="Praxis gewechselt", adult="Erwachsen", teen="Schulalter"),
 es=dict(good="siempre", fair="a ratos", poor="casi nunca", completed="en retención", discontinued="dejó el tratamiento", switched="terminado con brackets", transferred="cambió de clínica", adult="mayor de edad", teen="escolar"),
 pl=dict(good="nosi zawsze", fair="nosi czasem", poor="prawie nie nosi", completed="w retencji", discontinued="zrezygnował", switched="dokończone aparatem stałym", transferred="zmiana gabinetu", adult="pełnoletni", teen="szkolny"))
def own_words(c, mform="iso"):
    for k, v in OWN[c.lang].items(): c.syn[(k, c.lang)] = v
    log_moves(c, mform=mform)
    fin(c, c.out["layout"] + "; wear, status and age in the practice's own words")

def two_tables(c, mform="iso"):
    log_moves(c, mform=mform, keys=("clinician", "start", "status"))
    a, b = c.out["sheets"]
    c.out["sheets"] = [S("Audit", [[c.h("cases")]] + a["rows"] + [[], [c.h("moves")]] + b["rows"])]
    fin(c, "case log above the movement list on one sheet")

OTHER = dict(en=("Stock", [["Item", "Left"], ["Etching gel", 12], ["Composite", 7], ["Bonding agent", 3]], "To do", [["Order composite"], ["Check scanner"]]),
             de=("Lager", [["Artikel", "Bestand"], ["Ätzgel", 12], ["Komposit", 7]], "Offen", [["Scanner prüfen"], ["Komposit bestellen"]]),
             pt=("Stock", [["Artigo", "Quantidade"], ["Compósito", 7], ["Adesivo", 4]], "Pendentes", [["Encomendar compósito"]]))
def beside_others(c, **kw):
    flat(c, **kw)
    n1, r1, n2, r2 = OTHER[c.lang]
    c.out["sheets"] = [S(n1, r1)] + c.out["sheets"] + [S(n2, r2)]
    fin(c, c.out["layout"] + "; two sheets of other matters beside it")

def compound(c, sep=", "):
    flat(c, n=5)
    rows = c.out["sheets"][0]["rows"]
    j = rows[0].index(c.h("att"))
    for row, x in zip(rows[1:], c.recs):
        if x["style"] != "none":
            row[j] = sep.join([c.sty(x), c.v(x["_shape"]), "%d mm" % x["_size"], c.v(x["_orient"])] + ([c.h("lost").lower()] if x["_lost"] else []))
    fin(c, c.out["layout"] + "; attachment cell holds style, shape, size and orientation", rk=["shape", "size", "orient"])
    for x in c.recs: x["_lost"] = x["_lost"] or None
    c.out["rk"] = ["shape", "size", "orient", "lost"]

def repeated_headers(c, every=8, **kw):
    flat(c, n=6, **kw)
    rows = c.out["sheets"][0]["rows"]
    out = [rows[0]]
    for i, r in enumerate(rows[1:], 1):
        if i > 1 and (i - 1) % every == 0: out.append(list(rows[0]))
        out.append(r)
    c.out["sheets"][0]["rows"] = out
    fin(c, c.out["layout"] + "; the header comes again every %d rows" % every)

def sep_line(c, **kw):
    flat(c, **kw)
    c.out["sheets"][0]["rows"][:0] = [["sep=;"]]
    fin(c, c.out["layout"] + "; first line sep=;")

def float_teeth(c, **kw):
    flat(c, hash_header=c.h("tooth"), **kw)
    rows = c.out["sheets"][0]["rows"]
    j = rows[0].index(c.h("tooth"))
    for r in rows[1:]: r[j] = "%d%s0" % (r[j], "." if c.lang == "en" else ",")
    fin(c, c.out["layout"] + "; tooth numbers turned into 13.0")

def gaps(c):
    """narrow empty columns and rows between, a row of units below the header"""
    c.data(n=5, axes=["vertical", "buccolingual shift", "mesiodistal shift"])
    rows = [[], [None, c.h("case"), None, c.h("course"), c.h("tooth"), None, c.h("move"), c.h("plan"), c.h("ach"), None, c.h("att")], [None] * 7 + ["mm", "mm"], []]
    for x in c.recs: rows.append([None, x["case"], None, c.crs(x["course"]), x["tooth"], None, c.full(x), c.p(x), c.a(x), None, c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "table starts at B2, empty columns between, a row of units below the header")

def case_columns(c):
    """a row a tooth and movement planned alike in every case, a pair of columns a case"""
    c.data(n=3, per=(6, 10), ref=0, maxcourse=1, wrongway=0, axes=["vertical", "rotation"], teeth=[13, 12, 22, 23, 33, 34, 43, 44], missing=0)
    per = {}
    for x in c.recs: per.setdefault((x["tooth"], x["axis"], x["_s"]), {})[x["case"]] = x
    codes = [k["case"] for k in c.cases]
    rows = [[c.h("course") + ": " + c.crs(1)], [None, None, None] + [z for code in codes for z in ("%s %s" % (c.h("case"), code), None, None)], [c.h("tooth") + " (FDI)", c.h("move"), c.h("unit")] + [c.h("plan"), c.h("ach"), c.h("att")] * 3]
    for (t, a, s), d in sorted(per.items(), key=lambda z: (z[0][0], z[0][1], z[0][2])):
        row = [t, c.fullw(a, s), unit(a)]
        for code in codes:
            x = d.get(code)
            row += [c.p(x), c.a(x), c.sty(x)] if x else [None] * 3
        rows.append(row)
    c.out = dict(sheets=[S(c.h("moves"), rows, merges=[(1, 3 + 3 * i, 1, 5 + 3 * i) for i in range(3)])])
    fin(c, "cases across: three columns a case under two header rows, initial course only as the first line says")

def tooth_ranges(c):
    """13-23 is the six teeth from canine to canine"""
    c.data(n=6, per=(2, 3), ref=.2, wrongway=0, missing=0, axes=["vertical", "buccolingual shift"])
    rows = [[c.h("case"), c.h("course"), c.h("tooth") + " (FDI)", c.h("move"), "%s (%s, mm)" % (c.h("plan"), c.h("each")), "%s (%s, mm)" % (c.h("ach"), c.h("each")), c.h("att")]]
    rng = {"13-23": [13, 12, 11, 21, 22, 23], "12-22": [12, 11, 21, 22], "33-43": [33, 32, 31, 41, 42, 43], "14-16": [14, 15, 16], "34-36": [34, 35, 36]}
    new, have = [], set()
    for x in c.recs:
        lab, ts = c.r.choice(list(rng.items())) if c.r.random() < .5 else (x["tooth"], [x["tooth"]])
        if any((x["case"], x["course"], t, x["axis"]) in have for t in ts): continue
        for t in ts: have.add((x["case"], x["course"], t, x["axis"])); new.append(dict(x, tooth=t))
        rows.append([x["case"], c.crs(x["course"]), lab, c.full(x), c.p(x), c.a(x), c.sty(x)])
    c.recs = new
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "ranges of teeth (13-23 is canine to canine, not arithmetic), amounts told to be for each tooth")

def two_notations(c):
    c.data(n=6)
    half = [k["case"] for k in c.cases][:3]
    sheets = []
    for nm, f, w in (("1", lambda t: t, "FDI"), ("2", universal, "Universal")):
        rows = [[c.h("case"), c.h("course"), "%s (%s)" % (c.h("tooth"), w), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
        for x in c.recs:
            if (x["case"] in half) == (nm == "1"): rows.append([x["case"], c.crs(x["course"]), f(x["tooth"]), c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
        sheets.append(S("%s %s" % (c.h("pract"), "AB"[int(nm) - 1]), rows))
    for k in c.cases: k["practice"] = "A" if k["case"] in half else "B"
    c.out = dict(sheets=sheets, ck=["practice"])
    fin(c, "one sheet a practice; the first counts teeth by FDI, the second by Universal, as their headers say")

def comma_and_point(c):
    flat(c, n=5)
    rows = c.out["sheets"][0]["rows"]
    js = [i for i, z in enumerate(rows[0]) if str(z).startswith(c.h("plan")) or str(z).startswith(c.h("ach"))]
    for r in rows[1:]:
        f = c.r.choice([lambda z: z, lambda z: str(z).replace(".", ","), lambda z: str(z)])
        for j in js:
            if r[j] is not None: r[j] = f(r[j])
    fin(c, c.out["layout"] + "; numbers, text with points and text with commas mixed in one column")

def combo(c, sign=None, flip=(), blank=False, initials=None, first=None, notation=None, mark=None, **kw):
    """two or three doubts in one sheet"""
    f, d = {}, dict(ref=.5)
    axes = sign or AX
    d["axes"] = list(axes)
    if notation:
        d["teeth"] = [t for t in TEETH if (universal(t) if notation == "universal" else t) in (11, 12, 13, 14, 15, 18, 21, 22, 23, 24, 25, 26, 27, 28, 31) and t % 10 < 8]
        d["anchors"] = False
        f["notation"] = notation
    if mark: d["missing"] = .2
    if initials:
        for s, k in STY.items(): c.syn[(k, c.lang2)] = initials[s]
        f["style words"] = {str(w): s for s, w in initials.items()}
    flat(c, n=6, move="signed" if sign else "word", legend=None, flip=flip, styleblank=blank, tooth="uni" if notation == "universal" else "fdi", hash_header=c.h("tooth") if notation else None, course="num" if first is not None else "words", data=d, **kw)
    if sign: f["positive means"] = {a: (NEG if a in flip else POS)[a] for a in axes}
    if blank: f["blank style means"] = "none"
    rows = c.out["sheets"][0]["rows"]
    if first is not None:
        j = rows[0].index(c.h("course")); rows[0][j] = c.cap(c.h("ref"))
        for r, x in zip(rows[1:], c.recs): r[j] = x["course"] - 1 + first
        f["first course number"] = first
    if mark:
        j = next(i for i, z in enumerate(rows[0]) if str(z).startswith(c.h("ach")))
        if all(x["achieved"] is not None for x in c.recs): c.recs[1]["achieved"] = None; rows[2][j] = None
        for r, x in zip(rows[1:], c.recs):
            if x["achieved"] is None: r[j] = mark
        f["%s in achieved means" % mark] = "not measured"
    fin(c, "flat list with %d things left open: %s" % (len(f), ", ".join(f)), f)

def jobs():
    J = []
    o = lambda fn, lang, prog, ext, csv=None, **kw: J.append(("ordinary", fn, lang, prog, ext, csv, kw))
    t = lambda fn, lang, prog, ext, csv=None, **kw: J.append(("trap", fn, lang, prog, ext, csv, kw))
    o(own_words, "en", "openpyxl", "xlsx", mform="short")
    o(own_words, "de", "soffice", "ods", mform="long")
    o(own_words, "es", "xlsxwriter", "xlsx", mform="date")
    o(own_words, "pl", "node", "xlsx", mform="slash")
    o(two_tables, "en", "openpyxl", "xlsx", mform="long")
    o(two_tables, "fr", "pycsv", "csv", dict(sep=";", comma=True, enc="cp1252"), mform="slash")
    o(beside_others, "en", "xlsxwriter", "xlsx", keys=("clinician",))
    o(beside_others, "de", "ssconvert", "xls", move="axdir")
    o(beside_others, "pt", "openpyxl", "xlsx", ("en",), move="word")
    o(compound, "en", "openpyxl", "xlsx")
    o(compound, "it", "soffice", "xlsx", sep="; ")
    o(repeated_headers, "en", "R", "xlsx")
    o(repeated_headers, "nl", "pycsv", "csv", dict(sep=";", comma=True), move="axdir")
    o(sep_line, "de", "pycsv", "csv", dict(sep=";", comma=True, enc="utf-8-sig"), keys=("start",), mform="dot")
    o(float_teeth, "en", "pycsv", "csv", dict(sep=","))
    o(float_teeth, "pl", "openpyxl", "xlsx")
    o(gaps, "en", "xlsxwriter", "xlsx")
    o(gaps, "fr", "soffice", "ods")
    o(case_columns, "en", "openpyxl", "xlsx")
    o(L.sheet_per_patient, "es", "openpyxl", "xlsx", ("en",))
    o(L.case_block, "de", "sheetjs", "xls", ("en",))
    o(L.wide_pairs, "pt", "xlsxwriter", "xlsx", ("es",))
    t(tooth_ranges, "en", "openpyxl", "xlsx")
    t(tooth_ranges, "es", "pycsv", "csv", dict(sep=";", comma=True))
    t(two_notations, "en", "xlsxwriter", "xlsx")
    t(comma_and_point, "de", "openpyxl", "xlsx")
    d = lambda fn, lang, prog, ext, csv=None, **kw: J.append(("doubts", fn, lang, prog, ext, csv, kw))
    d(combo, "en", "openpyxl", "xlsx", sign=("rotation",), initials={"none": "N", "software-suggested": "P", "clinician-designed": "D"}, first=1)
    d(combo, "de", "soffice", "xls", notation="universal", blank=True)
    d(combo, "fr", "pycsv", "csv", dict(sep=";", comma=True, enc="cp1252"), sign=("vertical", "rotation"), first=1)
    d(combo, "es", "node", "xlsx", blank=True, mark="?", first=1)
    d(combo, "pl", "openpyxl", "xlsx", notation="fdi", initials={"none": "x", "software-suggested": "P", "clinician-designed": "L"})
    d(combo, "it", "ssconvert", "ods", sign=("buccolingual torque", "mesiodistal tip"), flip=("buccolingual torque",), blank=True)
    d(combo, "nl", "R", "xlsx", sign=("rotation", "vertical"), notation="fdi", mark="n.b.")
    return J
