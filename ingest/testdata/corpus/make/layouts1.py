"""Layouts that a careful person reads without doubt (and options that open honest doubts)."""
from core import *
from collections import OrderedDict

def S(name, rows, **k): return dict(name=name, rows=rows, **k)

def by(recs, *keys):
    d = OrderedDict()
    for x in recs: d.setdefault(tuple(x[k] for k in keys), []).append(x)
    return d

def num(c, x, comma):
    """number, or text with a decimal comma"""
    return x if x is None or not comma else str(x).replace(".", ",")

def tooth_fmt(c, form):
    la = c.lang
    if form == "fdi": return lambda t: t
    if form == "fditext": return lambda t: str(t)
    if form == "dot": return lambda t: "%d.%d" % divmod(t, 10)
    if form == "uni": return universal
    if form == "unihash": return lambda t: "#%d" % universal(t)
    if form == "palmer": return palmer
    if form == "palmerwords":
        def f(t):
            qd, d = divmod(t, 10)
            ul, side = ("u" if qd < 3 else "l"), ("rt" if qd in (1, 4) else "lf")
            return "%s %s %d" % (c.h(ul), c.h(side), d)
        return f
    if form == "hash": return lambda t: "#%d" % t
    raise ValueError(form)

def amt_cells(c, x, mode, comma=False, unitin=False, flip=()):
    """planned and achieved as the sheet shows them"""
    k = -1 if x["axis"] in flip else 1
    if mode == "unsigned": p, a = c.p(x), c.a(x)
    else: p, a = amt(k * x["planned"]), None if x["achieved"] is None else amt(k * x["achieved"])
    out = []
    for z in (p, a):
        z = num(c, z, comma)
        if z is not None and unitin: z = "%s%s%s" % (z, "" if unit(x["axis"]) == "°" else " ", unit(x["axis"]))
        out.append(z)
    return out

def extras(c, keys, mform):
    """columns a practice also keeps: header, value of a record, truth keys of cases and records"""
    cols, ck, rk = [], [], []
    for k in keys:
        if k == "clinician": cols.append((c.h("clin"), lambda x: c.case(x["case"])["clinician"])); ck.append(k)
        elif k == "practice": cols.append((c.h("pract"), lambda x: c.case(x["case"])["practice"])); ck.append(k)
        elif k in ("start", "end"): cols.append((c.h(k), lambda x, k=k: c.month(c.case(x["case"])[k], mform))); ck.append(k)
        elif k in ("status", "wear", "age"): cols.append((c.h(k), lambda x, k=k: c.v(c.case(x["case"])[k]))); ck.append(k)
        elif k == "aligners": cols.append((c.h("ali"), lambda x: c.case(x["case"])["aligners"])); ck.append(k)
        elif k == "shape": cols.append((c.h("shape"), lambda x: x["_shape"] and c.v(x["_shape"]))); rk.append(k)
        elif k == "size": cols.append((c.h("size"), lambda x: x["_size"])); rk.append(k)
        elif k == "orient": cols.append((c.h("orient"), lambda x: x["_orient"] and c.v(x["_orient"]))); rk.append(k)
        elif k == "stag": cols.append((c.h("stag"), lambda x: c.v(x["_stag"]))); rk.append(k)
        elif k == "lost": cols.append((c.h("lost"), lambda x: None if x["_lost"] is None else c.v("yes" if x["_lost"] else "no"))); rk.append(k)
        elif k == "note": cols.append((c.h("note"), lambda x: c.v("notmeas") if x.get("achieved", 1) is None else None))
    return cols, ck, rk

def titlerow(c, w=None):
    return [[c.h("title")], [NAMES[c.lang] and None]]

def flat(c, move="word", tooth="fdi", mode=None, comma=False, unitin=False, keys=(), mform="iso", course="words", n=5, legend="sheet", title=False, hash_header=None,
         totals=False, blanks=False, shuffle=False, case_once=False, flip=(), data=None, styleblank=False, swap=False, refzero=False):
    """one row a movement"""
    c.data(**dict(dict(n=n), **(data or {})))
    r = c.r
    mode = mode or ("signed" if move in ("signed", "letters") else "unsigned")
    tf = tooth_fmt(c, tooth)
    th = c.h("tooth") + {"fdi": r.choice(["", " (FDI)"]), "uni": " (Universal)", "unihash": " (Universal)"}.get(tooth, "")
    if hash_header is not None: th = hash_header
    LET = dict(zip(AX, ["V", "R", "T", "Q", "M", "B"]))
    cols = [(c.h("case"), lambda x: x["case"])]
    ch = c.h("course")
    if course == "words": cols.append((ch, lambda x: c.crs(x["course"])))
    elif course == "num": cols.append((ch, lambda x: x["course"]))
    elif course == "ref0": cols.append((c.cap(c.h("ref")) + " (0 = %s)" % c.h("initial"), lambda x: x["course"] - 1))
    elif course == "blank": cols.append((c.cap(c.h("ref")), lambda x: None if x["course"] == 1 else x["course"] - 1))
    cols.append((th, lambda x: tf(x["tooth"])))
    if move == "word": cols.append((c.h("move"), lambda x: c.full(x)))
    elif move == "axdir": cols += [(c.h("move"), lambda x: c.axw(x["axis"])), (c.h("dir"), lambda x: c.dirw(x))]
    elif move == "diraxis": cols += [(c.h("dir"), lambda x: c.dirw(x)), (c.h("move"), lambda x: c.axw(x["axis"]))]
    elif move == "signed": cols.append((c.h("move"), lambda x: c.axw(x["axis"])))
    elif move == "letters": cols.append((c.h("move"), lambda x: LET[x["axis"]]))
    un = "" if unitin else r.choice([" (mm/°)", " [mm, °]"])
    pc = (c.h("plan") + un, lambda x: amt_cells(c, x, mode, comma, unitin, flip)[0])
    ac = (c.h("ach") + un, lambda x: amt_cells(c, x, mode, comma, unitin, flip)[1])
    cols += [ac, pc] if swap else [pc, ac]
    if not unitin and r.random() < .5:
        cols[-1] = (cols[-1][0].replace(un, ""), cols[-1][1]); cols[-2] = (cols[-2][0].replace(un, ""), cols[-2][1])
        cols.append((c.h("unit"), lambda x: {"mm": "mm", "°": r.choice(["°"])}[unit(x["axis"])]))
    cols.append((c.h("att"), lambda x: None if styleblank and x["style"] == "none" else c.sty(x)))
    ex, ck, rk = extras(c, keys, mform)
    front = [e for e in ex if e[0] in (c.h("pract"), c.h("clin"))]
    cols = cols[:1] + front + cols[1:] + [e for e in ex if e not in front]
    recs = list(c.recs)
    if shuffle: r.shuffle(recs)
    rows = []
    if title: rows += [[c.h("title")], ["%s 2025" % c.h("pract")], []]
    if legend == "above" and mode == "signed": rows += c.legend_rows(flip=flip) + [[]]
    if move == "letters" and legend == "above":
        rows += [["%s = %s" % (LET[a], c.axw(a, c.h))] for a in AX] + [[]]
    rows.append([h for h, _ in cols])
    hdr = len(rows)
    prev = None
    for i, x in enumerate(recs):
        if blanks and prev is not None and prev != x["case"]: rows.append([])
        row = [f(x) for _, f in cols]
        if case_once and prev == x["case"]: row[0] = None
        prev = x["case"]
        rows.append(row)
    if totals:
        pi = [h for h, _ in cols].index(pc[0] if pc[0] in [h for h, _ in cols] else pc[0].replace(un, ""))
        col = chr(65 + pi)
        vals = [v[pi] for v in rows[hdr:] if len(v) > pi and isinstance(v[pi], (int, float))]
        t = [None] * len(cols); t[0] = c.h("total"); t[pi] = {"f": "SUM(%s%d:%s%d)" % (col, hdr + 1, col, len(rows)), "v": round(sum(vals), 3)}
        m = [None] * len(cols); m[0] = c.h("mean"); m[pi] = {"f": "AVERAGE(%s%d:%s%d)" % (col, hdr + 1, col, len(rows)), "v": round(sum(vals) / max(1, len(vals)), 4)}
        rows += [[], t, m]
    if legend == "below" and mode == "signed": rows += [[]] + c.legend_rows(flip=flip)
    if move == "letters" and legend == "below":
        rows += [[]] + [["%s = %s" % (LET[a], c.axw(a, c.h))] for a in AX]
    sheets = [S(c.h("moves"), rows)]
    if legend == "sheet" and (mode == "signed" or move == "letters"):
        lr = c.legend_rows(flip=flip) if mode == "signed" else []
        if move == "letters": lr = lr + [[]] + [[LET[a], c.axw(a, c.h)] for a in AX]
        sheets.append(S(c.h("legend"), lr))
    c.out = dict(sheets=sheets, ck=ck, rk=rk, mform=mform,
        layout="one flat list, a row a movement; movement as %s, amounts %s, teeth %s, course as %s%s" % (move, mode, tooth, course, ", legend " + (legend or "absent") if mode == "signed" else ""))

def sheet_per_course(c, tooth="fdi", unitin=False, comma=False, keys=()):
    c.data(n=6, ref=.55)
    tf = tooth_fmt(c, tooth)
    ex, ck, rk = extras(c, keys, "iso")
    sheets = []
    for (k,), rs in sorted(by(c.recs, "course").items()):
        rows = [[c.h("case"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach")] + ([] if unitin else [c.h("unit")]) + [c.h("att")] + [h for h, _ in ex]]
        for x in rs:
            rows.append([x["case"], tf(x["tooth"]), c.full(x)] + amt_cells(c, x, "unsigned", comma, unitin) + ([] if unitin else [unit(x["axis"])]) + [c.sty(x)] + [f(x) for _, f in ex])
        sheets.append(S(c.cap(c.crs(k)), rows))
    c.out = dict(sheets=sheets, ck=ck, rk=rk, layout="one sheet a course, a row a movement, direction in the movement word")

def sheet_per_patient(c, tooth="fdi", head=True):
    c.data(n=5, per=(4, 8), ref=.5)
    tf = tooth_fmt(c, tooth)
    sheets = []
    for (code,), rs in by(c.recs, "case").items():
        k = c.case(code)
        rows = []
        if head:
            rows = [[c.h("case"), code], [c.h("clin"), k["clinician"]], [c.h("start"), c.month(k["start"], "long")], [c.h("status"), c.v(k["status"])], []]
        rows.append([c.h("course"), c.h("tooth"), c.h("move"), c.h("dir"), c.h("plan") + " (mm/°)", c.h("ach") + " (mm/°)", c.h("att")])
        for x in rs: rows.append([c.crs(x["course"]), tf(x["tooth"]), c.axw(x["axis"]), c.dirw(x), c.p(x), c.a(x), c.sty(x)])
        sheets.append(S(str(code), rows))
    c.out = dict(sheets=sheets, ck=["clinician", "start", "status"] if head else [], rk=[], layout="one sheet a patient, sheet name is the code" + (", head of key and value above the table" if head else ""))

def log_moves(c, mform="iso", keys=("clinician", "start", "end", "status", "wear", "age"), move="axdir", tooth="fdi", ownwear=None):
    c.data(n=7, ref=.4, per=(3, 6))
    tf = tooth_fmt(c, tooth)
    if ownwear: 
        for k in ownwear: c.syn[(k, c.lang2)] = ownwear[k]
    ex, ck, rk = extras(c, keys, mform)
    log = [[c.h("case")] + [h for h, _ in ex] + [c.h("note")]]
    notes = {}
    for k in c.cases:
        log.append([k["case"]] + [f(dict(case=k["case"])) for _, f in ex] + [None])
    mv = [[c.h("case"), c.h("course"), c.h("tooth")] + ([c.h("move"), c.h("dir")] if move == "axdir" else [c.h("move")]) + [c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
    for x in c.recs:
        mv.append([x["case"], c.crs(x["course"]), tf(x["tooth"])] + ([c.axw(x["axis"]), c.dirw(x)] if move == "axdir" else [c.full(x)]) + [c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("cases"), log), S(c.h("moves"), mv)], ck=ck, rk=rk, mform=mform, layout="a case log sheet and a movement list, months as %s" % mform)

def wide_pairs(c, axes=None, nolegend=False, tooth="fdi", merged=True, flip=()):
    """one row a tooth; a pair of columns a movement under two header rows; signed, the sign told in the header"""
    axes = axes or c.r.sample(AX, 3)
    axes = sorted(axes, key=AX.index)
    c.data(n=6, per=(4, 8), axes=axes)
    one_style_per_tooth(c)
    tf = tooth_fmt(c, tooth)
    def head(a):
        u = " (%s)" % unit(a)
        if nolegend and a != "vertical": return c.cap(c.h(AK[a])) + u
        k = -1 if a in flip else 1
        return "%s: + %s / - %s%s" % (c.cap(c.h(AK[a])), c.h(AD[a] + "+-"[k < 0]), c.h(AD[a] + "-+"[k < 0]), u)
    h1 = [c.h("case"), c.h("course"), c.h("tooth")]
    h2 = [None] * 3
    merges = []
    for a in axes:
        col = len(h1)
        h1 += [head(a), None]; h2 += [c.h("plan"), c.h("ach")]
        if merged: merges.append((0, col, 0, col + 1))
    h1.append(c.h("att")); h2.append(None)
    rows = [h1, h2]
    for (code, k, t), rs in by(c.recs, "case", "course", "tooth").items():
        row = [code, c.crs(k), tf(t)]
        for a in axes:
            x = next((z for z in rs if z["axis"] == a), None)
            row += amt_cells(c, x, "signed", flip=flip) if x else [None, None]
        rows.append(row + [c.sty(rs[0])])
    if not merged:
        for i in range(3): pass
    c.out = dict(sheets=[S(c.h("moves"), rows, merges=merges)], ck=[], rk=[], layout="wide: a row a tooth, planned/achieved pairs a movement under two header rows" + (", merged" if merged else ", not merged"))
    return axes

def one_style_per_tooth(c):
    for rs in by(c.recs, "case", "course", "tooth").values():
        for x in rs:
            for k in ("style", "_shape", "_size", "_orient", "_lost"): x[k] = rs[0][k]

def wide_directions(c, tooth="fdi", keys=()):
    """one header row, a column a direction, unsigned"""
    axes = sorted(c.r.sample(AX, 2), key=AX.index)
    c.data(n=6, per=(4, 7), axes=axes, wrongway=0)
    one_style_per_tooth(c)
    tf = tooth_fmt(c, tooth)
    dirs = [(a, s) for a in axes for s in (1, -1)]
    ex, ck, rk = extras(c, keys, "iso")
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("att")] + [h for a, s in dirs for h in ("%s %s [%s]" % (c.cap(c.fullw(a, s, c.h)), c.h("plan").lower(), unit(a)), "%s %s [%s]" % (c.cap(c.fullw(a, s, c.h)), c.h("ach").lower(), unit(a)))] + [h for h, _ in ex]]
    for (code, k, t), rs in by(c.recs, "case", "course", "tooth").items():
        row = [code, c.crs(k), tf(t), c.sty(rs[0])]
        for a, s in dirs:
            x = next((z for z in rs if z["axis"] == a and z["_s"] == s), None)
            row += [c.p(x), c.a(x)] if x else [None, None]
        rows.append(row + [f(rs[0]) for _, f in ex])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=ck, rk=rk, layout="wide: a row a tooth, one header row, a planned and an achieved column for each direction, unsigned")

def tooth_chart(c, teeth=(13, 12, 11, 21, 22, 23), lower=False, onesheet=True, uni=False):
    """teeth across; rows planned and achieved of each direction"""
    teeth = list(teeth)
    axes = ["vertical", "rotation"]
    c.data(n=5, per=(4, 7), axes=axes, teeth=teeth, ref=.25, wrongway=0, anchors=False)
    one_style_per_tooth(c)
    rows, sheets = [], []
    for (code, k), rs in by(c.recs, "case", "course").items():
        b = [["%s: %s" % (c.h("case"), code), None, "%s: %s" % (c.h("course"), c.crs(k))], [c.h("tooth") + (" (Universal)" if uni else " (FDI)"), None] + [universal(t) if uni else t for t in teeth]]
        for a in axes:
            for s in (1, -1):
                sel = {x["tooth"]: x for x in rs if x["axis"] == a and x["_s"] == s}
                if not sel: continue
                lab = "%s (%s)" % (c.cap(c.fullw(a, s, c.h)), unit(a))
                b.append([lab, c.h("plan")] + [c.p(sel[t]) if t in sel else None for t in teeth])
                b.append([None if c.r.random() < .0 else lab, c.h("ach")] + [c.a(sel[t]) if t in sel else None for t in teeth])
        b.append([c.h("att"), None] + [next((c.sty(x) for x in rs if x["tooth"] == t), None) for t in teeth])
        if onesheet: rows += b + [[]]
        else: sheets.append(S("%s %d" % (code, k), b))
    c.out = dict(sheets=[S(c.h("moves"), rows)] if onesheet else sheets, ck=[], rk=[], layout="tooth chart: teeth across, rows planned/achieved for each direction, a block a case and course" + ("" if onesheet else " on its own sheet"))

def case_block(c, merged=True, course_once=True, totals=True):
    c.data(n=6, per=(3, 6))
    rows = [[c.h("case"), c.h("clin"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
    merges = []
    for (code,), rs in by(c.recs, "case").items():
        r0 = len(rows)
        pk = None
        for i, x in enumerate(rs):
            rows.append([code if i == 0 else None, c.case(code)["clinician"] if i == 0 else None, c.crs(x["course"]) if x["course"] != pk or not course_once else None, x["tooth"], c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
            pk = x["course"]
        if merged and len(rows) - r0 > 1:
            merges += [(r0, 0, len(rows) - 1, 0), (r0, 1, len(rows) - 1, 1)]
        if totals: rows.append([None] * 3 + [c.h("total"), "%d" % len(rs)])
    c.out = dict(sheets=[S(c.h("moves"), rows, merges=merges)], ck=["clinician"], rk=[], layout="code, clinician and course once a block%s%s" % (", merged down" if merged else "", ", a count row after each block" if totals else ""))

def several_teeth(c, sep=", ", n=6):
    """several teeth in one cell, the same amount for each"""
    c.data(n=n, per=(2, 4), ref=.3, wrongway=0, missing=0)
    new, rows = [], [[c.h("case"), c.h("course"), "%s" % c.h("tooth"), c.h("move"), "%s (%s)" % (c.h("plan"), c.h("each")), "%s (%s)" % (c.h("ach"), c.h("each")), c.h("unit"), c.h("att")]]
    have = {(x["case"], x["course"], x["tooth"], x["axis"]) for x in c.recs}
    for x in c.recs:
        ts = [x["tooth"]]
        for t in (x["tooth"] % 10 + 10 * qd for qd in (1, 2, 3, 4)):
            if t != x["tooth"] and t // 30 == x["tooth"] // 30 and (x["case"], x["course"], t, x["axis"]) not in have and c.r.random() < .7:
                have.add((x["case"], x["course"], t, x["axis"])); ts.append(t)
        for t in ts: new.append(dict(x, tooth=t))
        rows.append([x["case"], c.crs(x["course"]), sep.join(map(str, ts)) if len(ts) > 1 else x["tooth"], c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
    c.recs = new
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="several teeth in one cell (parted by '%s'), amounts told to be for each tooth" % sep.strip())

def quadrant_digit(c, qform="num", move="word"):
    c.data(n=5)
    ql = {"num": lambda qd: qd, "letters": lambda qd: "UR UL LL LR".split()[qd - 1], "words": lambda qd: "%s %s" % (c.h("u" if qd < 3 else "l"), c.h("rt" if qd in (1, 4) else "lf"))}[qform]
    rows = [[c.h("case"), c.h("course"), c.h("quad"), c.h("pos"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), ql(x["tooth"] // 10), x["tooth"] % 10, c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="quadrant (%s) and digit in two columns" % qform)

def suffix(c, style="after", spaced=True):
    """signs as letters or words in the amount cell, told in a legend"""
    c.data(n=5, wrongway=.05)
    words = dict(zip(AX, [("E", "I"), ("MI", "DI"), ("CM", "CD"), ("CB", "CL"), ("M", "D"), ("B", "L")]))
    if style == "words": words = {a: (c.v(AD[a] + "+"), c.v(AD[a] + "-")) for a in AX}
    def cell(x, z):
        if z is None: return None
        w = words[x["axis"]][0 if z > 0 else 1]
        n = str(amt(abs(z)))
        if c.lang not in ("en",): n = n.replace(".", ",")
        if z == 0: return "0"
        return "%s %s" % ((w, n) if style == "before" else (n, w)) if spaced else n + w
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("att")]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]) + " (%s)" % unit(x["axis"]), cell(x, x["planned"]), cell(x, x["achieved"]), c.sty(x)])
    leg = [] if style == "words" else [[], [c.h("legend")]] + [[words[a][i], c.fullw(a, 1 - 2 * i, c.h)] for a in AX for i in (0, 1)]
    c.out = dict(sheets=[S(c.h("moves"), rows + leg)], ck=[], rk=[], layout="sign as a %s in the amount cell" % ("word" if style == "words" else "letter, %s the number, legend below" % style))

def positions(c, note=False):
    c.data(n=5, axes=["vertical", "rotation", "buccolingual torque"], missing=.02)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("unit"), c.h("pb"), c.h("pp"), c.h("pa"), c.h("att")]]
    for x in c.recs:
        b = q(c.r.uniform(-1.5, 1.5), c.mmstep) if x["axis"] in MM else q(c.r.uniform(-20, 20), c.degstep)
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]), unit(x["axis"]), amt(b), amt(b + x["planned"]), None if x["achieved"] is None else amt(b + x["achieved"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), c.legend_rows() + [[]] + rows)], ck=[], rk=[], layout="positions before, planned and after, sign legend above")

def percent(c, form="num"):
    c.data(n=5, wrongway=0)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("unit"), c.h("pct"), c.h("att")]]
    for x in c.recs:
        p = None
        if x["achieved"] is not None:
            n = round(100 * x["achieved"] / x["planned"])
            x["achieved"] = round(x["planned"] * n / 100, 4)
            x["_pct"] = n
            p = {"num": n, "text": "%d %%" % n, "fmt": {"v": n / 100, "fmt": "0%"}}[form]
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), unit(x["axis"]), p, c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="planned amount and percent of the plan achieved (%s); no achieved amount" % form)

def residual(c, comma=False):
    c.data(n=5, wrongway=0)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("dir"), c.h("plan"), c.h("rest"), c.h("unit"), c.h("att")]]
    for x in c.recs:
        rest = None if x["achieved"] is None else amt(c.p(x) - c.a(x))
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]), c.dirw(x), num(c, c.p(x), comma), num(c, rest, comma), unit(x["axis"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="planned amount and the amount still missing; achieved = planned - missing")

def yesno(c, form="yn", sep=False):
    c.data(n=6)
    mark = {"yn": (c.v("yes"), c.v("no")), "x": ("x", None), "10": (1, 0)}[form]
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("swq"), c.h("clq")]]
    if form == "x": rows[0].insert(7, c.cap(c.v("none")) if c.v("none").count(" ") else "%s: %s" % (c.h("att"), c.v("none")))
    for x in c.recs:
        ys = [x["style"] == "software-suggested", x["style"] == "clinician-designed"]
        if form == "x": ys.insert(0, x["style"] == "none")
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), c.a(x), unit(x["axis"])] + [mark[0] if y else mark[1] for y in ys])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="style in yes/no columns (%s)" % form)

def ref_columns(c, two=False, initial_only_style=True):
    """a row a case, tooth and movement; a pair of columns a course"""
    c.data(n=6, ref=.6, maxcourse=3, per=(3, 6), missing=0)
    seen = {}
    for x in c.recs:  # the style column is one for all courses
        f = seen.setdefault((x["case"], x["tooth"], x["axis"]), x)
        for k in ("style", "_shape", "_size", "_orient", "_lost", "_s"):
            if k == "_s":
                if f["_s"] != x["_s"]: x["planned"] *= -1; x["achieved"] = None if x["achieved"] is None else -x["achieved"]
            x[k] = f[k]
    top = max(x["course"] for x in c.recs)
    names = [c.cap(c.crs(k)) for k in range(1, top + 1)]
    h = [c.h("case"), c.h("tooth"), c.h("move"), c.h("unit"), "%s (%s + %s)" % (c.h("att"), c.v("initial"), c.v("ref"))]
    if two:
        rows = [h + [z for n in names for z in (n, None)], [None] * 5 + [c.h("plan"), c.h("ach")] * top]
        merges = [(0, 5 + 2 * i, 0, 6 + 2 * i) for i in range(top)]
    else:
        rows, merges = [h + [z for n in names for z in ("%s: %s" % (n, c.h("plan").lower()), "%s: %s" % (n, c.h("ach").lower()))]], []
    for (code, t, a), rs in by(c.recs, "case", "tooth", "axis").items():
        row = [code, t, c.full(rs[0]), unit(a), c.sty(rs[0])]
        for k in range(1, top + 1):
            x = next((z for z in rs if z["course"] == k), None)
            row += [c.p(x), c.a(x)] if x else [None, None]
        rows.append(row)
    c.out = dict(sheets=[S(c.h("moves"), rows, merges=merges)], ck=[], rk=[], layout="a pair of columns a course%s; one attachment column for all courses" % (" under two header rows" if two else ""))

def sheet_per_style(c):
    c.data(n=7)
    sheets = []
    for (s,), rs in by(c.recs, "style").items():
        rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit")]]
        for x in rs: rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), c.a(x), unit(x["axis"])])
        sheets.append(S(("%s %s" % (c.h("att"), c.sty(rs[0])))[:31].replace("Attachment no attachment", "No attachment"), rows))
    c.out = dict(sheets=sheets, ck=[], rk=[], layout="one sheet an attachment style")

def sheet_per_movement(c, axes=None):
    axes = axes or ["vertical", "rotation", "mesiodistal tip"]
    c.data(n=6, per=(4, 7), axes=axes)
    sheets = []
    for (a, s), rs in sorted(by(c.recs, "axis", "_s").items(), key=lambda z: (AX.index(z[0][0]), -z[0][1])):
        nm = c.cap(c.fullw(a, s, c.h))
        rows = [[c.h("case"), c.h("course"), c.h("tooth"), "%s (%s)" % (c.h("plan"), unit(a)), "%s (%s)" % (c.h("ach"), unit(a)), c.h("att")]]
        for x in rs: rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.p(x), c.a(x), c.sty(x)])
        sheets.append(S(nm if len(nm) <= 31 else c.cap(c.h(AD[a] + ("+" if s > 0 else "-"))), ([[nm], []] if len(nm) > 31 else []) + rows))
    c.out = dict(sheets=sheets, ck=[], rk=[], layout="one sheet a movement and direction; units in the headers")

def section_rows(c, repeat_header=False):
    c.data(n=5, per=(3, 6))
    hd = [c.h("tooth"), c.h("move"), c.h("dir"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]
    rows = [] if repeat_header else [hd]
    for (code, k), rs in by(c.recs, "case", "course").items():
        rows.append(["%s %s – %s" % (c.h("case"), code, c.crs(k))])
        if repeat_header: rows.append(hd)
        for x in rs: rows.append([x["tooth"], c.axw(x["axis"]), c.dirw(x), c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
        if repeat_header: rows.append([])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="a heading row 'case – course' above each group%s" % (", header repeated" if repeat_header else ""))

def stacked_forms(c):
    c.data(n=5, per=(3, 6), ref=.35)
    rows = []
    for (code, k), rs in by(c.recs, "case", "course").items():
        z = c.case(code)
        rows += [[c.h("case"), code, None, c.h("clin"), z["clinician"]], [c.h("course"), c.crs(k), None, c.h("status"), c.v(z["status"])], [c.h("start"), c.month(z["start"], "slash"), None, c.h("wear"), c.v(z["wear"])],
                 [c.h("tooth"), c.h("move"), c.h("plan") + " mm/°", c.h("ach") + " mm/°", c.h("att")]]
        for x in rs: rows.append([x["tooth"], c.full(x), c.p(x), c.a(x), c.sty(x)])
        rows += [[], []]
    c.out = dict(sheets=[S(c.h("cases"), rows)], ck=["clinician", "status", "start", "wear"], rk=[], layout="forms stacked down one sheet: keys and values, then a small table, for each case and course")

def transposed(c):
    c.data(n=3, per=(3, 5), ref=.3)
    cols = [(c.h("case"), lambda x: x["case"]), (c.h("course"), lambda x: c.crs(x["course"])), (c.h("tooth"), lambda x: x["tooth"]), (c.h("move"), lambda x: c.full(x)), (c.h("unit"), lambda x: unit(x["axis"])),
            (c.h("plan"), c.p), (c.h("ach"), c.a), (c.h("att"), c.sty)]
    rows = [[h] + [f(x) for x in c.recs] for h, f in cols]
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="transposed: fields down, a column a movement")

def side_by_side(c):
    c.data(n=4, per=(4, 7), ref=.3)
    rows = []
    codes = [k["case"] for k in c.cases]
    hd = [c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("att")]
    g = by(c.recs, "case")
    for i in range(0, 4, 2):
        L, R = g[(codes[i],)], g[(codes[i + 1],)]
        rows.append(["%s %s" % (c.h("case"), codes[i])] + [None] * 6 + ["%s %s" % (c.h("case"), codes[i + 1])])
        rows.append(hd + [None] + hd)
        line = lambda x: [c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), c.a(x), c.sty(x)]
        for j in range(max(len(L), len(R))):
            rows.append((line(L[j]) if j < len(L) else [None] * 6) + [None] + (line(R[j]) if j < len(R) else []))
        rows.append([])
    c.out = dict(sheets=[S(c.h("cases"), rows)], ck=[], rk=[], layout="two cases side by side, two such pairs below each other")

def long_plan_ach(c):
    c.data(n=4, per=(3, 6))
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("dir"), c.h("att"), c.h("kindv"), c.h("amount"), c.h("unit")]]
    for x in c.recs:
        for w, z in ((c.h("plan"), c.p(x)), (c.h("ach"), c.a(x))):
            if z is None: continue
            rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]), c.dirw(x), c.sty(x), w.lower(), z, unit(x["axis"])])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="long: planned and achieved on two rows, told apart by a column")

def pair_cell(c, arrow="/"):
    c.data(n=5, missing=0, wrongway=0)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), "%s %s %s" % (c.h("plan"), arrow, c.h("ach")), c.h("unit"), c.h("att")]]
    for x in c.recs:
        s = "%s %s %s" % (c.p(x), arrow, c.a(x))
        if c.lang != "en": s = s.replace(".", ",")
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), s, unit(x["axis"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="planned and achieved in one cell, parted by '%s' as the header says" % arrow)

def composed_code(c):
    c.data(n=5, code=lambda i, r: "A%02d" % i)
    rows = [["%s - %s - %s" % (c.h("case"), c.h("course"), c.h("tooth")), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att")]]
    for x in c.recs: rows.append(["%s - %s - %d" % (x["case"], c.crs(x["course"]), x["tooth"]), c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.sty(x)])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="case, course and tooth in one cell, parted by ' - ' as the header says")

def coded(c, key="sheet"):
    """numbers for movement and style, with a key"""
    c.data(n=6)
    dirs = [(a, s) for a in AX for s in (1, -1)]
    num_ = {d: i + 1 for i, d in enumerate(dirs)}
    sty = {"none": 0, "software-suggested": 1, "clinician-designed": 2}
    rows = [[c.h("case"), c.h("course"), c.h("tooth") + " (FDI)", c.h("move"), c.h("plan"), c.h("ach"), c.h("att")]]
    for x in c.recs: rows.append([x["case"], c.crs(x["course"]), x["tooth"], num_[(x["axis"], x["_s"])], c.p(x), c.a(x), sty[x["style"]]])
    k = [[c.h("move"), c.h("meaning"), c.h("unit")]] + [[num_[d], c.fullw(d[0], d[1], c.h), unit(d[0])] for d in dirs] + [[], [c.h("att"), c.h("meaning")]] + [[v, c.v(STY[s])] for s, v in sty.items()]
    c.out = dict(sheets=[S(c.h("moves"), rows), S(c.h("key"), k)] if key == "sheet" else [S(c.h("moves"), rows + [[], [c.h("key")]] + k)], ck=[], rk=[], layout="numbers for movements and styles with a key (%s)" % key)

def plan_result_sheets(c):
    c.data(n=4, missing=.08)
    A = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("dir"), c.h("plan"), c.h("unit"), c.h("att")]]
    B = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("ach"), c.h("unit")]]
    for x in c.recs: A.append([x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]), c.dirw(x), c.p(x), unit(x["axis"]), c.sty(x)])
    rs = [x for x in c.recs if x["achieved"] is not None]
    c.r.shuffle(rs)
    for x in rs: B.append([x["case"], c.crs(x["course"]), x["tooth"], c.axw(x["axis"]), c.a(x), unit(x["axis"])])
    c.out = dict(sheets=[S(c.h("plan"), A), S(c.h("ach"), B)], ck=[], rk=[], layout="plan on one sheet, results on another in other order, joined by case, course, tooth and movement")

def sheet_per_clinician(c):
    c.data(n=7)
    sheets = []
    for cl in sorted({k["clinician"] for k in c.cases}):
        rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att"), c.h("note")]]
        for x in c.recs:
            if c.case(x["case"])["clinician"] == cl: rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), c.p(x), c.a(x), unit(x["axis"]), c.sty(x), None])
        sheets.append(S("%s %s" % (c.h("clin"), cl), rows))
    c.out = dict(sheets=sheets, ck=["clinician"], rk=[], layout="one sheet a clinician")

def style_columns(c):
    """the amount stands in the column pair of its style"""
    c.data(n=6)
    st = list(STY)
    rows = [[None] * 5 + [z for s in st for z in ("%s: %s" % (c.h("att"), c.v(STY[s])), None)], [c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("unit")] + [c.h("plan"), c.h("ach")] * 3]
    for x in c.recs:
        row = [x["case"], c.crs(x["course"]), x["tooth"], c.full(x), unit(x["axis"])] + [None] * 6
        i = 5 + 2 * st.index(x["style"])
        row[i], row[i + 1] = c.p(x), c.a(x)
        rows.append(row)
    c.out = dict(sheets=[S(c.h("moves"), rows, merges=[(0, 5 + 2 * i, 0, 6 + 2 * i) for i in range(3)])], ck=[], rk=[], layout="a planned/achieved pair of columns for each attachment style, the style in the upper header row")

def formulas(c):
    """percent and shortfall are formulas beside the amounts"""
    c.data(n=5)
    rows = [[c.h("case"), c.h("course"), c.h("tooth"), c.h("move"), c.h("plan"), c.h("ach"), c.h("unit"), c.h("att"), "%", "Δ"]]
    for x in c.recs:
        i = len(rows) + 1
        p, a = c.p(x), c.a(x)
        rows.append([x["case"], c.crs(x["course"]), x["tooth"], c.full(x), p, a, unit(x["axis"]), c.sty(x), None if a is None else {"f": "F%d/E%d" % (i, i), "v": round(a / p, 6), "fmt": "0%"}, None if a is None else {"f": "E%d-F%d" % (i, i), "v": round(p - a, 4)}])
    rows.append([c.h("mean"), None, None, None, None, None, None, None, {"f": "AVERAGE(I2:I%d)" % len(rows), "v": .66, "fmt": "0%"}, None])
    c.out = dict(sheets=[S(c.h("moves"), rows)], ck=[], rk=[], layout="flat list with formula columns for percent and difference, and a mean row")
