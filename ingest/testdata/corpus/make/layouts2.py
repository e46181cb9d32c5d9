"""Sloppy ordinary sheets, sheets with honest doubts, traps, and sheets that nobody can read."""
from core import *
import layouts1 as L
from layouts1 import S, by, flat, tooth_fmt
SC, TB, CM = dict(sep=";", comma=True), dict(sep="\t"), dict(sep=",")
POS = {"vertical": "extrusion", "rotation": "mesial side inward", "mesiodistal tip": "crown mesial", "buccolingual torque": "crown buccal", "mesiodistal shift": "mesial", "buccolingual shift": "buccal"}
NEG = {"vertical": "intrusion", "rotation": "distal side inward", "mesiodistal tip": "crown distal", "buccolingual torque": "crown lingual", "mesiodistal shift": "distal", "buccolingual shift": "lingual"}
SLOPPY = dict(
 en={"case": "pt", "course": "series", "tooth": "tooth", "move": "mvmt", "plan": "plan", "ach": "got", "att": "attachm.", "unit": "unit", "initial": "init.", "ref": "refinem.", "none": "no", "soft": "softw.", "cld": "own", "vert": "vert.", "rot": "rot.", "tip": "MD tip", "torq": "torque", "mds": "MD", "bls": "BL",
     "v+": "extr.", "v-": "intr.", "r+": "mes. in", "r-": "dist. in", "t+": "crown mes.", "t-": "crown dist.", "q+": "crown bucc.", "q-": "crown ling.", "m+": "mes.", "m-": "dist.", "b+": "bucc.", "b-": "ling."},
 de={"case": "Pat.-Code", "course": "Serie", "tooth": "Zahn", "move": "Bew.", "plan": "gepl.", "ach": "err.", "att": "Attachm.", "unit": "Einh.", "initial": "Erst", "ref": "Nachkorr.", "none": "kein", "soft": "Softw.", "cld": "eigenes", "vert": "vert.", "rot": "Rot.", "tip": "Kippg. md", "torq": "Torque", "mds": "md", "bls": "vo",
     "v+": "Extr.", "v-": "Intr.", "r+": "mes. n. innen", "r-": "dist. n. innen", "t+": "Krone n. mes.", "t-": "Krone n. dist.", "q+": "Krone n. vest.", "q-": "Krone n. oral", "m+": "n. mes.", "m-": "n. dist.", "b+": "n. vest.", "b-": "n. oral"},
 fr={"case": "code", "course": "série", "tooth": "dent", "move": "mvt", "plan": "prévu", "ach": "obt.", "att": "taquet", "unit": "unité", "initial": "init.", "ref": "finit.", "none": "non", "soft": "logiciel", "cld": "perso", "vert": "vert.", "rot": "rot.", "tip": "version MD", "torq": "torque", "mds": "MD", "bls": "VL",
     "v+": "extr.", "v-": "intr.", "r+": "més. en dedans", "r-": "dist. en dedans", "t+": "cour. més.", "t-": "cour. dist.", "q+": "cour. vest.", "q-": "cour. ling.", "m+": "més.", "m-": "dist.", "b+": "vest.", "b-": "ling."},
 es={"case": "cód.", "course": "serie", "tooth": "pza", "move": "mov.", "plan": "plan.", "ach": "logr.", "att": "attachm.", "unit": "ud.", "initial": "inic.", "ref": "refin.", "none": "no", "soft": "softw.", "cld": "propio", "vert": "vert.", "rot": "rot.", "tip": "inclin. MD", "torq": "torque", "mds": "MD", "bls": "VL",
     "v+": "extr.", "v-": "intr.", "r+": "mes. adentro", "r-": "dist. adentro", "t+": "cor. mes.", "t-": "cor. dist.", "q+": "cor. vest.", "q-": "cor. ling.", "m+": "mes.", "m-": "dist.", "b+": "vest.", "b-": "ling."},
 nl={"case": "pt-code", "course": "serie", "tooth": "el.", "move": "bew.", "plan": "gepl.", "ach": "ber.", "att": "attachm.", "unit": "eenh.", "initial": "init.", "ref": "refin.", "none": "geen", "soft": "softw.", "cld": "eigen", "vert": "vert.", "rot": "rot.", "tip": "kant. md", "torq": "torque", "mds": "md", "bls": "bl",
     "v+": "extr.", "v-": "intr.", "r+": "mes. in", "r-": "dist. in", "t+": "kroon mes.", "t-": "kroon dist.", "q+": "kroon bucc.", "q-": "kroon ling.", "m+": "mes.", "m-": "dist.", "b+": "bucc.", "b-": "ling."})

def sloppy(c, base="flat", dirty=False, **kw):
    """a practice's own shorthand, and untidy typing"""
    for k, v in SLOPPY[c.lang].items(): c.syn[(k, c.lang)] = v
    getattr(L, base.replace("-", "_"))(c, **kw)
    if dirty:
        r = c.r
        for s in c.out["sheets"]:
            for row in s["rows"][1:]:
                for j, z in enumerate(row):
                    if isinstance(z, str) and r.random() < .25:
                        row[j] = z + " " if j == 0 else r.choice([z + " ", " " + z, z.upper() if len(z) > 3 else z, z.replace(" ", "\u00a0"), z.capitalize()])
                    elif isinstance(z, (int, float)) and j > 0 and r.random() < .12: row[j] = "%s " % z if c.lang == "en" else str(z).replace(".", ",")
    c.out["layout"] = "the practice's own shorthand%s: %s" % (", untidy typing (case, blanks, numbers kept as text)" if dirty else "", c.out["layout"])

def fin(c, layout=None, facts=None, **k):
    if layout: c.out["layout"] = layout
    if facts: c.out.setdefault("facts", {}).update(facts)
    c.out.update(k)

# ---------------------------------------------------------------- doubts
def no_sign_legend(c, axes=("rotation", "buccolingual torque"), flip=(), blank=False, tooth="fdi", base="flat"):
    if base == "wide":
        a = L.wide_pairs(c, axes=list(axes), nolegend=True, flip=flip)
        axes = [x for x in axes if x != "vertical"]  # the header of the vertical pair tells its sign
    else: flat(c, move="signed", legend=None, flip=flip, styleblank=blank, tooth=tooth, data=dict(axes=list(axes)))
    f = {"positive means": {a: (NEG if a in flip else POS)[a] for a in axes}}
    if blank: f["blank style means"] = "none"
    fin(c, c.out["layout"] + "; nothing tells what a positive amount means", f)

def blank_style(c, means="none", **kw):
    flat(c, styleblank=True, **kw)
    if means != "none":
        for x in c.recs:
            if x["style"] == "none": x["style"] = None
    fin(c, c.out["layout"] + "; blank attachment cells", {"blank style means": means})

def style_initials(c, words, blankmeans=None, **kw):
    for s, k in STY.items(): c.syn[(k, c.lang2)] = words[s]
    flat(c, **kw)
    fin(c, c.out["layout"] + "; attachment style as initials without a key", {"style words": {str(w): s for s, w in words.items()}})

def refnumbers(c, first=1, word=None, **kw):
    """course numbers whose first number is open"""
    kw.setdefault("n", 6)
    flat(c, course="num", data=dict(ref=.6), **kw)
    rows = c.out["sheets"][0]["rows"]
    h = next(i for i, r in enumerate(rows) if c.h("course") in r)
    j = rows[h].index(c.h("course"))
    rows[h][j] = c.cap(c.h("ref")) + (" nr." if word is None else word)
    for row, x in zip(rows[h + 1:], c.recs):
        row[j] = x["course"] - 1 + first if word is None else "Ref %d" % (x["course"] - 1 + first)
    fin(c, c.out["layout"] + "; a refinement number on every row, none called initial", {"first course number": first})

def notation_open(c, notation="fdi", **kw):
    uni_ok = [t for t in TEETH if universal(t) in (11, 12, 13, 14, 15, 18, 21, 22, 23, 24, 25, 26, 27, 28, 31)]
    fdi_ok = [11, 12, 13, 14, 15, 16, 17, 21, 22, 23, 24, 25, 26, 27, 31, 32]
    flat(c, tooth="fdi" if notation == "fdi" else "uni", hash_header=c.h("tooth"), data=dict(teeth=fdi_ok if notation == "fdi" else uni_ok, anchors=False), **kw)
    fin(c, c.out["layout"].replace("teeth fdi", "teeth as numbers").replace("teeth uni", "teeth as numbers") + "; every number is a tooth in both notations", {"notation": notation})

def letters_open(c, letters, axes=None):
    c.data(n=6, axes=axes, wrongway=0)
    un = {v: k for k, v in letters.items()}
    rows = [[c.h("case"), c.h("course"), c.h("tooth") + " (FDI)", c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), x["tooth"], un[(x["axis"], x["_s"])], c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "flat list, movement and direction as letters without a key", {"letters": {k: "%s: %s" % (a, (POS if s > 0 else NEG)[a]) for k, (a, s) in letters.items()}})

def no_direction(c, axes=("vertical", "rotation"), answer=None, **kw):
    """sizes only; the direction was never written down"""
    c.data(n=6, axes=list(axes), wrongway=0)
    if answer:
        for x in c.recs:
            if x["axis"] in answer:
                if x["_s"] < 0:
                    x["planned"] *= -1; x["achieved"] = None if x["achieved"] is None else -x["achieved"]; x["_s"] = 1
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
    for x in c.recs:
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]), c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
        if not (answer and x["axis"] in answer):
            x["direction_known"] = False
            if x["_s"] < 0: x["planned"] *= -1; x["achieved"] = None if x["achieved"] is None else -x["achieved"]
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    f = {a: (answer or {}).get(a, "not recorded") for a in axes}
    fin(c, "flat list, amounts without sign and no direction anywhere", {"amounts without direction": f})

def open_positions(c, positions=True, heads=("Start", "Plan", "End")):
    c.data(n=5, axes=["vertical", "rotation"], missing=.02)
    rows = c.legend_rows() + [[], [c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("unit")] + list(heads) + [c.h("att")]]
    for x in c.recs:
        b = q(c.r.uniform(.1, 1.5) * c.r.choice([1, -1]), c.mmstep) if x["axis"] in MM else q(c.r.uniform(2, 20) * c.r.choice([1, -1]), c.degstep)
        k = b if positions else 0
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]), unit(x["axis"]), amt(b), amt(k + x["planned"]), None if x["achieved"] is None else amt(k + x["achieved"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "three amounts headed %s; positions or movements is open" % " / ".join(heads), {"amounts are": "positions" if positions else "movements (the first column is the position at the start)"})

def diff_column(c, head="Diff.", sense="missing"):
    c.data(n=6, wrongway=0)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), head, c.h("unit"), c.h("att")]]
    for x in c.recs:
        d = None if x["achieved"] is None else amt(c.p(x) - c.a(x)) if sense == "missing" else amt(c.a(x))
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), d, unit(x["axis"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "planned and a column headed '%s'" % head, {"amounts are": {head: "still missing (planned minus achieved)" if sense == "missing" else "achieved"}})

def bare_percent(c, means="achieved", head="%"):
    c.data(n=6, wrongway=0)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("unit"), head, c.h("att")]]
    for x in c.recs:
        n = None
        if x["achieved"] is not None:
            n = min(97, round(100 * x["achieved"] / x["planned"])) if means == "missing" or x["achieved"] / x["planned"] < 1 else round(100 * x["achieved"] / x["planned"])
            x["achieved"] = round(x["planned"] * n / 100, 4)
            if means == "missing": n = 100 - n
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), unit(x["axis"]), n, c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "planned amount and a column headed only '%s'" % head, {"percent means": means + " share of the planned amount"})

def yes_open(c, yes="clinician-designed", **kw):
    c.data(n=6, styles=["none", yes])
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.v("no") if x["style"] == "none" else c.v("yes")])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "attachment yes or no; who designed it is open", {"style words": {c.v("yes"): yes, c.v("no"): "none"}})

def date_order(c, order="day first"):
    """every day is 12 or less"""
    L.log_moves(c, mform="iso", keys=("clinician", "start", "end", "status"))
    rows = c.out["sheets"][0]["rows"]
    for row, k in zip(rows[1:], c.cases):
        for j, e in ((2, "start"), (3, "end")):
            y, m = k[e]
            d = 1 + (m * 5 + y) % 12
            if d == m: d = d % 12 + 1
            row[j] = ("%02d/%02d/%02d" % ((d, m, y % 100) if order == "day first" else (m, d, y % 100)))
    fin(c, "case log and movement list; dates as text, day and month open", {"date order": order})

def course_marks(c, marks=("T0", "T1", "T2"), col=False):
    c.data(n=6, ref=.6)
    rows0 = [c.h("case"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]
    line = lambda x: [x["case"], x["tooth"], c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.sty(x)]
    top = max(x["course"] for x in c.recs)
    if col: sh = [S(c.h("moves"), [rows0[:1] + [""] + rows0[1:]] + [line(x)[:1] + [marks[x["course"] - 1]] + line(x)[1:] for x in c.recs])]
    else: sh = [S(marks[k - 1], [rows0] + [line(x) for x in c.recs if x["course"] == k]) for k in range(1, top + 1)]
    c.out = dict(sheets=sh)
    fin(c, "courses called %s%s" % (", ".join(marks[:top]), " in a column without a heading" if col else ", a sheet each"), {"course words": {marks[k]: k + 1 for k in range(top)}})

def rotation_words(c, plus, minus, axes=("rotation", "vertical"), fact=None):
    c.syn[("r+", c.lang)], c.syn[("r-", c.lang)] = plus, minus
    c.syn[("rot", c.lang)] = c.v("rot")
    flat(c, move="axdir", data=dict(axes=list(axes)))
    fin(c, c.out["layout"] + "; rotation called '%s' or '%s'" % (plus, minus), {"direction words": {plus: "mesial side inward", minus: "distal side inward"}})

def axis_word(c, word, axis, plus, minus, **kw):
    k, d = AK[axis], AD[axis]
    c.syn[(k, c.lang)] = word; c.syn[(d + "+", c.lang)] = plus; c.syn[(d + "-", c.lang)] = minus
    flat(c, move="signed", legend=None, data=dict(axes=[axis, "vertical"]), **kw)
    for s in c.out["sheets"]:
        for r in s["rows"]:
            for j, z in enumerate(r):
                if z == c.v("vert"): r[j] = "%s (+ %s / - %s)" % (z, c.v("v+"), c.v("v-"))
    fin(c, c.out["layout"] + "; '%s' may be mesiodistal or buccolingual, its sign is open" % word, {"axis words": {word: axis}, "positive means": {word: POS[axis]}})

def status_codes(c, codes, wear):
    for k, v in codes.items(): c.syn[(k, c.lang2)] = v
    for k, v in wear.items(): c.syn[(k, c.lang2)] = v
    L.log_moves(c, keys=("clinician", "start", "status", "wear"))
    fin(c, "case log and movement list; status and wear as codes without a key", {"status words": {str(v): "switched to fixed appliance" if k == "switched" else k for k, v in codes.items()}, "wear words": {str(v): k for k, v in wear.items()}})

def date_teeth(c):
    flat(c, keys=("clinician",))
    rows = c.out["sheets"][0]["rows"]
    j = next(i for i, h in enumerate(rows[0]) if str(h).startswith(c.h("tooth")))
    for row, x in zip(rows[1:], c.recs):
        qd, d = divmod(x["tooth"], 10)
        row[j] = {"d": "2025-%02d-%02d" % (d, qd), "fmt": "d.m"}
    rows[0][j] = c.h("tooth")
    fin(c, "flat list; the spreadsheet turned quadrant.digit into dates (1.3 became 1 March)", {"tooth cells shown as dates": "day is the quadrant, month is the digit: 1 March is 13", "notation": "fdi"})

def in_out(c, plus="out", minus="in"):
    c.syn[("b+", c.lang)], c.syn[("b-", c.lang)] = plus, minus
    flat(c, move="axdir", data=dict(axes=["buccolingual shift", "vertical"]))
    fin(c, c.out["layout"] + "; shift called '%s' or '%s'" % (plus, minus), {"direction words": {plus: "buccal", minus: "lingual"}})

def twice(c, stands="the later row stands"):
    flat(c, n=5)
    rows = c.out["sheets"][0]["rows"]
    idx = c.r.sample(range(len(c.recs)), 2)
    old = list(c.recs)
    j = next(i for i, h in enumerate(rows[0]) if str(h).startswith(c.h("ach")))
    for i in idx:
        x = c.recs[i]
        if x["achieved"] is None: x["achieved"] = q(x["planned"] * .5, .1); rows[1 + i][j] = c.a(x)
        new = q(abs(x["achieved"]) * .7, .1 if x["axis"] in MM else .5)
        r2 = list(rows[1 + i]); r2[j] = amt(new); rows.append(r2)
        x["achieved"] = x["_s"] * new
    fin(c, c.out["layout"] + "; two movements stand twice with different achieved amounts", {"same movement twice": stands})

def dashes(c, mark="-", means="not measured", legend=False, **kw):
    flat(c, data=dict(missing=.2 if means == "not measured" else 0, wrongway=0), n=5, **kw)
    rows = c.out["sheets"][0]["rows"]
    h = next(i for i, r in enumerate(rows) if c.h("case") in r)
    j = next(i for i, z in enumerate(rows[h]) if str(z).startswith(c.h("ach")))
    if means != "not measured":
        for i in c.r.sample(range(len(c.recs)), 4): c.recs[i]["achieved"] = 0; rows[h + 1 + i][j] = None
    k = 0
    for row, x in zip(rows[h + 1:], c.recs):
        if row[j] is None: row[j] = mark; k += 1
    if k < 2:
        for i in (0, 3): c.recs[i]["achieved"] = None if means == "not measured" else 0; rows[h + 1 + i][j] = mark
    if legend:
        rows += [[], ["%s = %s" % (mark, c.v("notmeas"))]]
        fin(c, c.out["layout"] + "; %s for not measured, told below" % mark)
    else: fin(c, c.out["layout"] + "; '%s' among the achieved amounts" % mark, {"%s in achieved means" % mark: means})

# ---------------------------------------------------------------- traps
def opposite_sign(c, flip=("vertical",), **kw):
    flat(c, move="signed", legend=kw.pop("legend", "below"), flip=flip, data=dict(axes=["vertical", "rotation", "buccolingual torque"]), **kw)
    fin(c, c.out["layout"] + "; the legend turns the sign of " + ", ".join(flip))

def root_words(c, words):
    for k, v in words.items(): c.syn[(k, c.lang)] = v
    flat(c, move="axdir", data=dict(axes=["buccolingual torque", "mesiodistal tip", "vertical"]))
    fin(c, c.out["layout"] + "; torque and tip described by the root, which moves against the crown")

def clockwise(c, cw="clockwise", ccw="anticlockwise", note="Rotation as seen from occlusal", signed=False):
    c.data(n=6, axes=["rotation"], per=(3, 6))
    rows = [[note], [], [c.h("case"), c.h("course"), c.h("tooth") + " (FDI)", c.h("dir") if not signed else None, c.h("plan") + " (°)", c.h("ach") + " (°)", c.h("att")]]
    if signed: rows[0] = ["%s: + %s, - %s" % (note, cw, ccw)]; rows[2].pop(3)
    for x in c.recs:
        inward_cw = x["tooth"] // 10 in (1, 3)      # upper right and lower left turn their mesial side inward when clockwise
        s = x["_s"] if inward_cw else -x["_s"]
        if signed: rows.append([x["case"], c.crs(x["course"]), x["tooth"], amt(s * c.p(x)), None if x["achieved"] is None else amt(s * c.a(x)), c.sty(x)])
        else: rows.append([x["case"], c.crs(x["course"]), x["tooth"], cw if s > 0 else ccw, c.p(x), c.a(x), c.sty(x)])
    c.out = dict(sheets=[S(c.cap(c.h("rot")), rows)])
    fin(c, "rotation as clockwise or anticlockwise seen from occlusal%s: mesial in or out depends on the quadrant" % (", as signs" if signed else ""))

def right_left(c, right, left, note):
    c.data(n=6, axes=["mesiodistal shift"], per=(3, 6), anchors=True)
    rows = [[note], [], [c.h("case"), c.h("course"), c.h("tooth") + " (FDI)", c.h("dir"), c.h("plan") + " (mm)", c.h("ach") + " (mm)", c.h("att")]]
    for x in c.recs:
        rightside = x["tooth"] // 10 in (1, 4)
        mesial = x["_s"] > 0
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], left if mesial == rightside else right, c.p(x), c.a(x), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "mesiodistal shift as to the patient's right or left: mesial or distal depends on the side")

def notation_note(c, note, where="below", **kw):
    notation_open(c, "universal", **kw)
    rows = c.out["sheets"][0]["rows"]
    if where == "below": rows += [[], [note]]
    else: rows[:0] = [[note], []]
    c.out["facts"] = {}
    fin(c, "flat list whose tooth numbers would all pass for FDI; a line %s says Universal" % where)

def positions_note(c, note):
    open_positions(c, True, heads=(c.h("start"), c.h("plan"), c.h("ach")))
    c.out["sheets"][0]["rows"][:0] = [[note], []]
    c.out["facts"] = {}
    fin(c, "columns headed start, planned, achieved hold positions, as a line above says")

def residual_note(c, note):
    c.data(n=6, wrongway=0, missing=0)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), "Result", c.h("unit"), c.h("att")]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), amt(c.p(x) - c.a(x)), unit(x["axis"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows + [[], [note]])])
    fin(c, "a column headed Result holds what was still missing, as a line below says")

def tenths(c, scale=10, label="1/10 mm"):
    c.mmstep = .1 if scale == 10 else .127
    c.data(n=6, axes=["vertical", "buccolingual shift", "mesiodistal shift"])
    cv = (lambda z: None if z is None else int(round(z * scale))) if scale == 10 else (lambda z: None if z is None else round(z / 25.4, 3))
    if scale != 10:
        for x in c.recs:
            for k in ("planned", "achieved"):
                if x[k] is not None: x[k] = round(round(x[k] / 25.4, 3) * 25.4, 4)
    rows = [[c.h("case"), c.h("course"), c.h("tooth") + (" (Universal)" if scale != 10 else " (FDI)"), c.h("move"), "%s (%s)" % (c.h("plan"), label), "%s (%s)" % (c.h("ach"), label), c.h("att")]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), universal(x["tooth"]) if scale != 10 else x["tooth"], c.full(x), cv(c.p(x)), cv(c.a(x)), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "amounts in %s, said only in the headers" % label)

def pasted_twice(c):
    flat(c, n=4)
    rows = c.out["sheets"][0]["rows"]
    last = c.cases[-1]["case"]
    rows += [list(r) for r in rows[1:] if r[0] == last]
    fin(c, c.out["layout"] + "; the last case's rows stand twice, word for word")

def dittos(c, mark='"'):
    flat(c, n=5, keys=("clinician",))
    rows = c.out["sheets"][0]["rows"]
    prev = None
    for i in range(1, len(rows)):
        cur = list(rows[i])
        if prev:
            for j in range(3):
                if prev[j] == cur[j]: rows[i][j] = mark
        jm = rows[0].index(c.h("att"))
        if prev and prev[jm] == cur[jm]: rows[i][jm] = mark
        prev = cur
    fin(c, c.out["layout"] + "; ditto marks for as above")

def odd_totals(c):
    flat(c, n=5, keys=("clinician",))
    sh = c.out["sheets"][0]
    rows = sh["rows"]
    h = rows[0]
    jt = next(i for i, z in enumerate(h) if str(z).startswith(c.h("tooth")))
    jp = next(i for i, z in enumerate(h) if str(z).startswith(c.h("plan")))
    out, k = [h], 1
    for code, rs in by(c.recs, "case").items():
        blk = rows[k:k + len(rs)]; k += len(rs)
        out += blk
        t = [None] * len(h); t[0] = code[0]; t[jt] = len(rs); t[jt - 1] = "Σ"; t[jp] = round(sum(r[jp] for r in blk), 2); out.append(t)
        m = [None] * len(h); m[0] = code[0]; m[jt - 1] = "Ø"; m[jp] = round(sum(r[jp] for r in blk) / len(blk), 2); out.append(m)
    sh["rows"] = out
    fin(c, c.out["layout"] + "; sum (Σ) and mean (Ø) rows carry the case code, the sum row a count under the tooth heading")

def two_conventions(c):
    c.data(n=7, axes=["vertical", "rotation"])
    sheets = []
    for i, cl in enumerate(sorted({k["clinician"] for k in c.cases})):
        flip = ("vertical", "rotation") if i else ()
        rows = [["%s %s" % (c.h("clin"), cl)]] + c.legend_rows(axes=["vertical", "rotation"], flip=flip)[1:] + [[], [c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
        for x in c.recs:
            if c.case(x["case"])["clinician"] == cl:
                p, a = L.amt_cells(c, x, "signed", flip=flip)
                rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]), p, a, unit(x["axis"]), c.sty(x)])
        sheets.append(S("%s %s" % (c.h("clin"), cl), rows))
    c.out = dict(sheets=sheets, ck=["clinician"])
    fin(c, "one sheet a clinician, each with its own sign convention above the table, opposite to each other")

def up_down(c, up, down, note):
    c.data(n=6, axes=["vertical"], per=(3, 6))
    rows = [[note], [], [c.h("case"), c.h("course"), c.h("tooth") + " (FDI)", c.h("dir"), c.h("plan") + " (mm)", c.h("ach") + " (mm)", c.h("att")]]
    for x in c.recs:
        upper = x["tooth"] < 30
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], down if (x["_s"] > 0) == upper else up, c.p(x), c.a(x), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "vertical movement as up or down: extrusion or intrusion depends on the arch")

def odd_minus(c, form="paren"):
    flat(c, move="signed", legend="above", data=dict(axes=["vertical", "rotation", "mesiodistal shift"]))
    for s in c.out["sheets"]:
        h = next(i for i, r in enumerate(s["rows"]) if c.h("case") in r)
        js = [i for i, z in enumerate(s["rows"][h]) if z and (str(z).startswith(c.h("plan")) or str(z).startswith(c.h("ach")))]
        for r in s["rows"][h + 1:]:
            for j in js:
                if isinstance(r[j], (int, float)) and r[j] < 0:
                    n = str(amt(-r[j]))
                    if c.lang != "en": n = n.replace(".", ",")
                    r[j] = {"paren": "(%s)" % n, "uni": "\u2212" + n, "trail": n + "-", "dash": "– " + n}[form]
    fin(c, c.out["layout"] + "; negative amounts as %s" % {"paren": "(1.2)", "uni": "a typographic minus", "trail": "1.2-", "dash": "an en dash and a blank"}[form])

def three_decimals(c):
    c.mmstep = .005
    c.data(n=6, axes=["vertical", "buccolingual shift"])
    f = lambda z: None if z is None else ("%.3f" % z).replace(".", ",")
    rows = [[c.h("case"), c.h("course"), c.h("tooth") + " (FDI)", c.h("move"), c.h("plan") + " (mm)", c.h("ach") + " (mm)", c.h("att")]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), f(c.p(x)), f(c.a(x)), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "decimal commas with three decimals (1,250 is one and a quarter)")

def one_is_initial(c):
    flat(c, course="num", data=dict(ref=.6), n=6)
    rows = c.out["sheets"][0]["rows"]
    rows[0][rows[0].index(c.h("course"))] = "%s no. (1 = %s)" % (c.cap(c.h("ref")), c.h("initial"))
    fin(c, c.out["layout"] + "; headed refinement, but 1 is the initial course as the header says")

def inverted_yes(c, head, softhead):
    c.data(n=6)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), head, softhead]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.v("yes" if x["style"] == "none" else "no"), None if x["style"] == "none" else c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)])
    fin(c, "a column 'without attachment' where yes means none; the design in the next column")

def void_rows(c, word, strike=False):
    flat(c, n=5, keys=("note",), data=dict(missing=0))
    rows = c.out["sheets"][0]["rows"]
    jp = next(i for i, z in enumerate(rows[0]) if str(z).startswith(c.h("plan")))
    ins = sorted(c.r.sample(range(1, len(rows)), 3), reverse=True)
    for i in ins:
        bad = list(rows[i]); bad[jp] = amt(round(bad[jp] * 10, 2)); bad[-1] = word
        if strike: bad = [z if z is None else {"v": z, "strike": True} for z in bad]
        rows.insert(i, bad)
    fin(c, c.out["layout"] + "; rows marked void in the notes, the right row follows")

def code_traps(c, codes):
    flat(c, n=len(codes), data=dict(code=lambda i, r: codes[i - 1], per=(3, 5)))
    fin(c, c.out["layout"] + "; case codes that a program may take for numbers or dates")

def mesial_out(c, words):
    for k, v in words.items(): c.syn[(k, c.lang)] = v
    flat(c, move="axdir", data=dict(axes=["rotation", "mesiodistal tip"], teeth=TEETH))
    fin(c, c.out["layout"] + "; rotation told by the side that turns outward")

def own_quadrants(c, letters, legend):
    c.data(n=5)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), palmer(x["tooth"], letters), c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows + [[], [legend]])])
    fin(c, "quadrant letters of the practice's own language (%s), told below" % ", ".join(letters))

def missing_percent(c, head):
    bare_percent(c, "missing", head)
    c.out["facts"] = {}
    fin(c, "planned amount and the percent NOT achieved, as the header says")

# ---------------------------------------------------------------- unreadable
def un(c, rows, layout, why, sheets=None):
    c.data(n=1) if not hasattr(c, "recs") else None
    c.out = dict(sheets=sheets or [S("Sheet1", rows)], layout=layout, refuse=why, records=[], tcases=[])

def u_case_percent(c):
    c.data(n=14)
    un(c, [[c.h("case"), "Teeth treated", "Overall % achieved", "Refinements"]] + [[k["case"], c.r.randint(6, 20), c.r.randint(45, 90), k["courses"] - 1] for k in c.cases], "one line a case with an overall percentage", "No tooth, no movement and no planned amount: list each planned movement with tooth, direction, planned and achieved amount.")
def u_averages(c):
    c.data(n=2)
    un(c, [["Zahngruppe", "Bewegung", "Anzahl", "Mittel geplant", "Mittel erreicht", "SD"]] + [[t, m, c.r.randint(4, 40), round(c.r.uniform(.5, 12), 1), round(c.r.uniform(.3, 9), 1), round(c.r.uniform(.2, 4), 2)] for t in ("Frontzähne oben", "Frontzähne unten", "Eckzähne", "Prämolaren", "Molaren") for m in ("Extrusion", "Rotation", "Torque")], "means by tooth group", "Only means and counts: the single movements by case and tooth are needed.")
def u_narrative(c):
    c.data(n=10)
    txt = ["canines did well, laterals lagging, will redo", "good tracking overall", "upper premolars about half", "extrusion poor again on the laterals", "all as planned except lower canine", "redone after 5 months, better"]
    un(c, [["Case", "How it went"]] + [[k["case"], c.r.choice(txt)] for k in c.cases], "free sentences a case", "No amounts: enter planned and achieved amounts by tooth and movement.")
def u_plan_only(c):
    flat(c, n=5)
    rows = c.out["sheets"][0]["rows"]
    j = next(i for i, z in enumerate(rows[0]) if str(z).startswith(c.h("ach")))
    un(c, [[z for i, z in enumerate(r) if i != j] for r in rows], "flat list of plans, no achieved column at all", "No outcome anywhere: add the achieved amounts (or percent, or positions after).")
def u_drop(c, key, layout, why):
    flat(c, n=5, hash_header=c.h("tooth"))
    rows = c.out["sheets"][0]["rows"]
    j = rows[0].index(c.h(key))
    un(c, [[z for i, z in enumerate(r) if i != j] for r in rows], layout, why)
def u_no_tooth(c): u_drop(c, "tooth", "flat list without any tooth", "No tooth: add the tooth of each movement.")
def u_no_case(c): u_drop(c, "case", "flat list without any case code; cases run into each other", "No case code: add a code of the patient to each row (results of one patient belong together).")
def u_no_move(c): u_drop(c, "move", "flat list without movement or direction", "No movement: say for each row which movement and direction was planned.")
def u_colour(c):
    flat(c, n=6)
    rows = c.out["sheets"][0]["rows"]
    j, jm = rows[0].index(c.h("att")), rows[0].index(c.h("move"))
    col = {a: f for a, f in zip(AX, ["FFFF00", "92D050", "00B0F0", "FFC000", "FF99CC", "CCCCFF"])}
    jp = next(i for i, z in enumerate(rows[0]) if str(z).startswith(c.h("plan")))
    out = [[z for i, z in enumerate(rows[0]) if i not in (j, jm)]]
    for r, x in zip(rows[1:], c.recs):
        r = list(r); r[jp] = {"v": r[jp], "fill": col[x["axis"]]}
        out.append([z for i, z in enumerate(r) if i not in (j, jm)])
    un(c, out, "movement told only by the colour of the cell", "The movement is only in the colour and there is no colour key: write it out in a column.")
def u_broken(c):
    flat(c, n=5)
    rows = c.out["sheets"][0]["rows"]
    for r in rows[1:]:
        for j, h in enumerate(rows[0]):
            if str(h).startswith(c.h("plan")) or str(h).startswith(c.h("ach")): r[j] = c.r.choice(["#REF!", "#REF!", "#NAME?", "#VALUE!"])
    un(c, rows, "all amounts are broken formulas", "Every amount is an error value: restore the source sheet and save values.")
def u_grades(c):
    c.data(n=8)
    un(c, [[c.h("case"), c.h("tooth"), c.h("move"), "Plan", "Ergebnis", c.h("att")]] + [[x["case"], x["tooth"], c.full(x), c.r.choice(["groß", "mittel", "klein"]), c.r.choice(["gut", "mäßig", "kaum", "voll"]), c.sty(x)] for x in c.recs], "planned and achieved as grades in words", "Amounts are graded in words: enter mm and degrees.")
def u_arch(c):
    c.data(n=12)
    un(c, [["Case", "Intercanine width before", "Intercanine width planned", "Intercanine width after", "Intermolar width before", "Intermolar width planned", "Intermolar width after"]] + [[k["case"]] + [round(v + d, 1) for v in (c.r.uniform(24, 28), c.r.uniform(34, 38)) for d in (0, 2.4, 1.6)] for k in c.cases], "arch widths a case", "Arch widths are not movements of one tooth: enter movements by tooth.")
def u_total3d(c):
    c.data(n=6)
    un(c, [[c.h("case"), c.h("course"), c.h("tooth"), "Total movement planned (3D, mm)", "Total movement achieved (3D, mm)", c.h("att")]] + [[x["case"], c.crs(x["course"]), x["tooth"], round(c.r.uniform(.5, 4), 2), round(c.r.uniform(.3, 3), 2), c.sty(x)] for x in c.recs], "length of the whole movement in space, no axis", "The direction is lost in a total length: give each axis by itself.")
def u_pivot(c):
    c.data(n=2)
    un(c, [["Count of movements", "none", "software", "own", "Grand total"]] + [[m] + (lambda v: v + [sum(v)])([c.r.randint(2, 40) for _ in range(3)]) for m in ("extrusion", "intrusion", "rotation", "tip", "torque", "mesial", "distal", "buccal", "lingual")], "cross table of counts", "Only counts: the list behind the table is needed.")
def u_commas(c):
    c.data(n=6)
    f = lambda z: "" if z is None else str(z).replace(".", ",")
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("plan"), c.h("ach"), c.h("move").replace(",", "")]]
    for x in c.recs: rows.append([x["case"], x["course"], x["tooth"], f(c.p(x)), f(c.a(x)), c.dirw(x)])
    un(c, rows, "comma both as separator and decimal mark, unquoted: columns cannot be told apart", "Save again with semicolons or tabs, or with decimal points.")
def u_final_only(c):
    c.data(n=6, axes=["rotation", "vertical"])
    un(c, [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), "Final position planned", "Final position achieved", c.h("att")]] + [[x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]), round(c.r.uniform(-9, 9), 1), round(c.r.uniform(-9, 9), 1), c.sty(x)] for x in c.recs], "planned and achieved final positions without the position before", "Without the position at the start no movement can be told: add it.")
def u_mixed(c):
    c.data(n=9)
    un(c, [["code", "no", "nr", "x", "y", "z"]] + [[x["case"], c.r.choice([x["tooth"], universal(x["tooth"])]), x["course"], amt(abs(x["planned"])), None if x["achieved"] is None else amt(abs(x["achieved"])), c.r.choice([None, 1, 2])] for x in c.recs], "headings that mean nothing, notations mixed in one column", "Headings and mixed tooth notations cannot be told even by the practice row by row without rewriting: name the columns, use one notation.")
def u_header_only(c):
    c.data(n=1)
    un(c, [[c.h("title")], []] + [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("att")]] + [[i] for i in range(1, 9)], "a form with numbered lines and nothing filled in", "No movement is filled in.")
def u_lost_digits(c):
    flat(c, n=5)
    rows = c.out["sheets"][0]["rows"]
    for r in rows[1:]:
        for j, h in enumerate(rows[0]):
            if str(h).startswith(c.h("plan")) or str(h).startswith(c.h("ach")): r[j] = "####" if r[j] is not None else None
    un(c, rows, "amounts exported as ####, the column having been too narrow", "The amounts were lost at export: export again from the source.")

def jobs():
    J = []
    def add(kind):
        return lambda fn, lang, prog, ext, csv=None, **kw: J.append((kind, fn, lang, prog, ext, csv, kw))
    o, d, t, u = add("ordinary"), add("doubts"), add("trap"), add("unreadable")
    o(sloppy, "en", "openpyxl", "xlsx", dirty=True)
    o(sloppy, "de", "soffice", "ods", base="flat", move="axdir", keys=("start",), mform="dot")
    o(sloppy, "fr", "pycsv", "csv", dict(sep=";", enc="cp1252", comma=True), base="flat", move="axdir")
    o(sloppy, "es", "xlsxwriter", "xlsx", base="case-block", merged=True)
    o(sloppy, "nl", "R", "xlsx", base="log-moves", keys=("start", "end", "status"), mform="day")
    o(sloppy, "en", "node", "xlsx", base="wide-pairs")
    o(sloppy, "de", "sheetjs", "xls", base="sheet-per-course", dirty=True)
    o(sloppy, "en", "Rcsv", "csv", dict(sep=","), base="suffix", style="words")
    o(sloppy, "fr", "ssconvert", "xlsx", base="ref-columns", two=True)
    o(sloppy, "es", "openpyxl", "xlsx", base="section-rows", dirty=True)
    o(flat, "pl", "openpyxl", "xlsx", ("en",), move="word", keys=("status", "wear"))
    o(flat, "fr", "soffice", "ods", ("nl",), move="axdir", keys=("clinician",))
    # doubts
    d(no_sign_legend, "en", "openpyxl", "xlsx")
    d(no_sign_legend, "de", "pycsv", "csv", dict(sep=";", enc="cp1252", comma=True), axes=("rotation",), flip=("rotation",))
    d(no_sign_legend, "es", "soffice", "ods", axes=("vertical", "rotation"), flip=("vertical",), blank=True)
    d(no_sign_legend, "fr", "xlsxwriter", "xlsx", base="wide", axes=("vertical", "rotation", "buccolingual torque"))
    d(no_sign_legend, "pl", "ssconvert", "xls", base="wide", axes=("rotation", "mesiodistal tip"), flip=("mesiodistal tip",))
    d(blank_style, "en", "node", "xlsx", keys=("clinician", "status"))
    d(blank_style, "it", "pycsv", "csv", SC, move="axdir")
    d(blank_style, "pl", "R", "xlsx", means="not recorded")
    d(style_initials, "en", "openpyxl", "xlsx", words={"none": "-", "software-suggested": "S", "clinician-designed": "Dr"})
    d(style_initials, "de", "soffice", "xls", words={"none": "0", "software-suggested": "V", "clinician-designed": "B"}, move="axdir")
    d(style_initials, "fr", "pycsv", "csv", SC, words={"none": "A", "software-suggested": "L", "clinician-designed": "P"})
    d(style_initials, "en", "sheetjs", "xls", words={"none": 0, "software-suggested": 1, "clinician-designed": 2})
    d(refnumbers, "en", "openpyxl", "xlsx", first=1)
    d(refnumbers, "nl", "Rcsv", "csv", SC, first=1, keys=("start",))
    d(refnumbers, "es", "xlsxwriter", "xlsx", first=0, word="")
    d(notation_open, "en", "pycsv", "csv", CM, notation="universal")
    d(notation_open, "en", "xlsxwriter", "xlsx", notation="fdi", move="axdir")
    d(notation_open, "pt", "ssconvert", "ods", notation="universal", keys=("clinician",))
    d(letters_open, "en", "openpyxl", "xlsx", letters={"E": ("vertical", 1), "I": ("vertical", -1), "RM": ("rotation", 1), "RD": ("rotation", -1)}, axes=["vertical", "rotation"])
    d(letters_open, "it", "soffice", "ods", letters={"E": ("vertical", 1), "I": ("vertical", -1), "TV": ("buccolingual torque", 1), "TL": ("buccolingual torque", -1), "M": ("mesiodistal shift", 1), "D": ("mesiodistal shift", -1)}, axes=["vertical", "buccolingual torque", "mesiodistal shift"])
    d(no_direction, "en", "xlsxwriter", "xlsx")
    d(no_direction, "fr", "pycsv", "tsv", dict(sep="\t", comma=True, enc="utf-8-sig"), axes=("rotation", "buccolingual torque"))
    d(no_direction, "de", "node", "xlsx", axes=("vertical", "rotation"), answer={"vertical": "extrusion"})
    d(open_positions, "en", "openpyxl", "xlsx")
    d(open_positions, "nl", "R", "xlsx", positions=False, heads=("Start", "Plan", "Eind"))
    d(diff_column, "en", "soffice", "xlsx", head="Diff.", sense="missing")
    d(diff_column, "pt", "pycsv", "csv", SC, head="Δ", sense="achieved")
    d(bare_percent, "en", "openpyxl", "xlsx", means="achieved")
    d(bare_percent, "es", "sheetjs", "xls", means="missing")
    d(yes_open, "de", "xlsxwriter", "xlsx", yes="clinician-designed")
    d(yes_open, "it", "ssconvert", "xlsx", yes="software-suggested")
    d(date_order, "en", "openpyxl", "xlsx", order="day first")
    d(date_order, "en", "R", "xlsx", order="month first")
    d(course_marks, "de", "openpyxl", "xlsx", marks=("T0", "T1", "T2"))
    d(course_marks, "en", "soffice", "ods", marks=("A", "B", "C"), col=True)
    d(course_marks, "fr", "node", "xlsx", marks=("I", "II", "III"))
    d(rotation_words, "en", "xlsxwriter", "xlsx", plus="mesial rotation", minus="distal rotation")
    d(rotation_words, "de", "openpyxl", "xlsx", plus="Distalrotation", minus="Mesialrotation")
    d(axis_word, "de", "openpyxl", "xlsx", word="Kippung", axis="mesiodistal tip", plus="mesial", minus="distal")
    d(axis_word, "es", "pycsv", "csv", dict(sep=";", comma=True, enc="cp1252"), word="inclinación", axis="buccolingual torque", plus="vestibular", minus="lingual")
    d(axis_word, "nl", "soffice", "xls", word="kanteling", axis="buccolingual torque", plus="buccaal", minus="linguaal")
    d(status_codes, "pl", "openpyxl", "xlsx", codes={"completed": "Z", "discontinued": "P", "switched": "S", "transferred": "N"}, wear={"good": 1, "fair": 2, "poor": 3})
    d(date_teeth, "de", "openpyxl", "xlsx")
    d(in_out, "en", "node", "xlsx")
    d(twice, "en", "xlsxwriter", "xlsx")
    d(dashes, "de", "pycsv", "csv", SC, mark="-", means="not measured")
    d(dashes, "en", "openpyxl", "xlsx", mark="-", means="no movement (0)")
    d(dashes, "it", "R", "xlsx", mark=999, means="not measured")
    # traps
    t(opposite_sign, "en", "openpyxl", "xlsx")
    t(opposite_sign, "de", "pycsv", "csv", SC, flip=("vertical", "buccolingual torque"), legend="below")
    t(opposite_sign, "fr", "ssconvert", "ods", flip=("rotation",), legend="sheet")
    t(root_words, "en", "xlsxwriter", "xlsx", words={"q+": "root lingual", "q-": "root buccal", "t+": "root distal", "t-": "root mesial"})
    t(root_words, "de", "openpyxl", "xlsx", words={"q+": "Wurzel nach lingual", "q-": "Wurzel nach bukkal", "t+": "Wurzel nach distal", "t-": "Wurzel nach mesial"})
    t(clockwise, "en", "openpyxl", "xlsx")
    t(clockwise, "es", "soffice", "ods", cw="horario", ccw="antihorario", note="Rotación vista desde oclusal", signed=True)
    t(right_left, "en", "R", "xlsx", right="to the right", left="to the left", note="Right and left are the patient's")
    t(notation_note, "en", "pycsv", "csv", CM, note="Tooth numbers are Universal (1-32)", where="below")
    t(notation_note, "pt", "openpyxl", "xlsx", note="Numeração dos dentes: sistema universal (1 a 32)", where="above")
    t(positions_note, "en", "xlsxwriter", "xlsx", note="All values are tooth positions, not movements")
    t(residual_note, "en", "node", "xlsx", note="Result = amount still missing at the last scan")
    t(tenths, "de", "soffice", "xlsx", label="1/10 mm")
    t(tenths, "en", "openpyxl", "xlsx", scale=25.4, label="inch")
    t(pasted_twice, "en", "sheetjs", "xls")
    t(dittos, "en", "openpyxl", "xlsx")
    t(odd_totals, "de", "xlsxwriter", "xlsx")
    t(dashes, "en", "pycsv", "csv", CM, mark=999, legend=True)
    t(two_conventions, "nl", "openpyxl", "xlsx")
    t(up_down, "en", "ssconvert", "xls", up="up", down="down", note="Up = towards the patient's nose, patient upright")
    t(odd_minus, "en", "openpyxl", "xlsx", form="paren")
    t(odd_minus, "pl", "pycsv", "csv", dict(sep=";", comma=True), form="uni")
    t(odd_minus, "it", "xlsxwriter", "xlsx", form="trail")
    t(three_decimals, "de", "pycsv", "csv", dict(sep=",", quote=True))
    t(one_is_initial, "en", "node", "xlsx")
    t(inverted_yes, "en", "openpyxl", "xlsx", head="Without attachment?", softhead="Attachment design")
    t(void_rows, "en", "openpyxl", "xlsx", word="void, see next row", strike=True)
    t(code_traps, "en", "pycsv", "csv", CM, codes=["007", "2E5", "10E2", "3-4", "0012", "1/2"])
    t(mesial_out, "en", "soffice", "ods", words={"r+": "distal out", "r-": "mesial out"})
    t(own_quadrants, "de", "openpyxl", "xlsx", letters=["OR", "OL", "UL", "UR"], legend="O = oben, U = unten, R = rechts, L = links")
    t(own_quadrants, "nl", "R", "xlsx", letters=["RB", "LB", "LO", "RO"], legend="R = rechts, L = links, B = boven, O = onder")
    t(missing_percent, "en", "xlsxwriter", "xlsx", head="% not achieved")
    # unreadable
    for fn, la, prog, ext, csv in ((u_case_percent, "en", "openpyxl", "xlsx", None), (u_averages, "de", "soffice", "ods", None), (u_narrative, "en", "xlsxwriter", "xlsx", None), (u_plan_only, "fr", "openpyxl", "xlsx", None),
            (u_no_tooth, "es", "pycsv", "csv", SC), (u_no_case, "it", "R", "xlsx", None), (u_no_move, "en", "Rcsv", "csv", CM), (u_colour, "en", "openpyxl", "xlsx", None), (u_broken, "pl", "pycsv", "csv", SC),
            (u_grades, "de", "node", "xlsx", None), (u_arch, "en", "ssconvert", "xls", None), (u_total3d, "en", "openpyxl", "xlsx", None), (u_pivot, "en", "sheetjs", "ods", None), (u_commas, "de", "pycsv", "csv", dict(sep=",", raw=True)),
            (u_final_only, "nl", "xlsxwriter", "xlsx", None), (u_mixed, "en", "soffice", "xls", None), (u_header_only, "pt", "openpyxl", "xlsx", None), (u_lost_digits, "fr", "pycsv", "csv", dict(sep=";", enc="utf-16"))):
        u(fn, la, prog, ext, csv)
    return J
