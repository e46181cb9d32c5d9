"""Invented cases and the functions that each layout uses."""
import random, zlib
from words import W, NAMES, MONTHS
SEED = 20261126
AX = ["vertical", "rotation", "mesiodistal tip", "buccolingual torque", "mesiodistal shift", "buccolingual shift"]
AK = dict(zip(AX, ["vert", "rot", "tip", "torq", "mds", "bls"]))
AD = dict(zip(AX, "vrtqmb"))
MM = {"vertical", "mesiodistal shift", "buccolingual shift"}
STY = {"none": "none", "software-suggested": "soft", "clinician-designed": "cld"}
TEETH = [q * 10 + d for q in (1, 2, 3, 4) for d in range(1, 8)]
unit = lambda a: "mm" if a in MM else "°"

def q(x, step):
    n = round(x / step)
    return round(n * step, 3)

CODES = [lambda i, r: "A-%02d" % i, lambda i, r: "P%03d" % (i * 7), lambda i, r: "K24-%03d" % (100 + i), lambda i, r: "c%d" % (40 + i),
         lambda i, r: 1040 + i, lambda i, r: "Z.%03d" % i, lambda i, r: "N%02dx" % i, lambda i, r: "MV%d" % (200 + 3 * i), lambda i, r: "%s%02d" % ("BDFH"[i % 4], i)]

class Ctx:
    def __init__(self, name, lang, lang2=None):
        self.r = random.Random(zlib.crc32(name.encode()) ^ SEED)
        self.name, self.lang, self.lang2 = name, lang, lang2 or lang
        self.syn = {}
        self.mmstep = self.r.choice([.1, .1, .05, .01])
        self.degstep = self.r.choice([1, .5, .1, .1])
    def h(self, k):
        """header word, the same one throughout a file"""
        return self._w(k, self.lang)
    def v(self, k):
        """value word (second language of a mixed file)"""
        return self._w(k, self.lang2)
    def _w(self, k, la):
        if (k, la) not in self.syn:
            self.syn[(k, la)] = self.r.choice(W[k][la])
        return self.syn[(k, la)]
    def cap(self, s):
        return s[:1].upper() + s[1:]
    # ---- invented data
    def data(self, n=5, per=(3, 6), ref=.4, axes=None, teeth=None, styles=None, missing=.03, wrongway=.015, code=None, maxcourse=3, anchors=True):
        r = self.r
        axes = axes or AX
        teeth = teeth or TEETH
        styles = styles or list(STY)
        code = code or r.choice(CODES)
        self.cases, self.recs = [], []
        clins = r.sample(["K1", "K2", "B", "T", "M2", "W"], 2)
        for i in range(1, n + 1):
            y, m = r.choice([2023, 2024]), r.randint(1, 12)
            st = r.choice(["completed"] * 6 + ["discontinued", "switched", "transferred"])
            dur = r.randint(6, 20)
            e = y * 12 + m - 1 + dur
            c = dict(case=code(i, r), clinician=r.choice(clins), practice=r.choice(["A", "B"]), start=(y, m), end=(e // 12, e % 12 + 1), status=st,
                     wear=r.choice(["good", "good", "fair", "poor"]), age=r.choice(["adult", "adult", "teen"]), aligners=r.randint(14, 44))
            self.cases.append(c)
            nc = 1
            while nc < maxcourse and r.random() < ref: nc += 1
            c["courses"] = nc
            used = []
            for k in range(1, nc + 1):
                cnt = r.randint(*per) if k == 1 else max(1, min(len(used), r.randint(1, 3)))
                seen = set()
                pool = [(u["tooth"], u["axis"], u["_s"]) for u in used] if k > 1 else None
                tries = 0
                while cnt > 0 and tries < 400:
                    tries += 1
                    if pool: t, a, s = r.choice(pool)
                    else:
                        t, a = r.choice(teeth), r.choice(axes)
                        s = r.choice([1, 1, -1]) if a == "vertical" else r.choice([1, -1])
                    if (t, a) in seen: continue
                    seen.add((t, a)); cnt -= 1
                    self.recs.append(self.rec(c["case"], k, t, a, s, r.choice(styles), missing, wrongway))
                    if k == 1: used.append(self.recs[-1])
        if anchors:  # let the notation be plain: a tooth above 32 always occurs
            if not any(x["tooth"] > 32 for x in self.recs) and teeth is TEETH:
                for x in self.recs[:3]:
                    t = r.choice([34, 35, 43, 44, 45, 46])
                    if not any((z["case"], z["course"], z["tooth"], z["axis"]) == (x["case"], x["course"], t, x["axis"]) for z in self.recs):
                        x["tooth"] = t
        return self.recs
    def rec(self, case, course, t, a, s, style, missing=.03, wrongway=.015):
        r = self.r
        if a in MM: p = q(r.uniform(.3, 2.6 if course == 1 else 1.2), self.mmstep)
        elif a == "rotation": p = q(r.uniform(4, 34 if course == 1 else 14), self.degstep)
        else: p = q(r.uniform(2, 14 if course == 1 else 7), self.degstep)
        f = -r.uniform(.05, .2) if r.random() < wrongway else min(1.15, max(.08, r.gauss(.66, .22)))
        ach = q(p * f, self.mmstep if a in MM else self.degstep)
        if r.random() < missing: ach = None
        sh = r.choice(["rect", "ellip", "bev"]) if style != "none" else None
        return dict(case=case, course=course, tooth=t, axis=a, planned=s * p, achieved=None if ach is None else s * ach, style=style, direction_known=True, _s=s,
                    _shape=sh, _size=r.choice([2, 3, 4]) if sh else None, _orient=r.choice(["horiz", "verti"]) if sh else None, _stag=r.choice(["comb", "seq"]),
                    _lost=(r.random() < .12) if sh else None)
    # ---- words for a record
    def dirw(self, rec, f=None):
        return (f or self.v)(AD[rec["axis"]] + ("+" if rec["_s"] > 0 else "-"))
    def full(self, rec, f=None):
        f = f or self.v
        return self.fullw(rec["axis"], rec["_s"], f)
    def fullw(self, a, s, f=None):
        f = f or self.v
        d = f(AD[a] + ("+" if s > 0 else "-"))
        if a == "vertical": return d
        return "%s, %s" % (f(AK[a]), d)
    def axw(self, a, f=None):
        return (f or self.v)(AK[a])
    def p(self, x): return amt(x["planned"] * x["_s"])
    def a(self, x): return None if x["achieved"] is None else amt(x["achieved"] * x["_s"])
    def sty(self, x): return self.v(STY[x["style"]])
    def crs(self, k):
        return self.v("initial") if k == 1 else "%s %d" % (self.v("ref"), k - 1)
    def case(self, code): return next(c for c in self.cases if c["case"] == code)
    def month(self, ym, form):
        y, m = ym
        n = MONTHS[self.lang][m - 1]
        return {"iso": "%d-%02d" % ym, "long": "%s %d" % (n, y), "short": "%s %02d" % (n[:4] if len(n) == 4 else n[:3], y % 100), "slash": "%02d/%d" % (m, y),
                "dot": "%02d.%d" % (m, y), "date": {"d": "%d-%02d-01" % ym, "fmt": "mmm yyyy"}, "day": "%d-%02d-%02d" % (y, m, 1 + (m * 7 + y) % 27),
                "quarter": "Q%d %d" % ((m - 1) // 3 + 1, y)}[form]
    def legend_rows(self, axes=None, flip=()):
        axes = axes or sorted({x["axis"] for x in self.recs}, key=AX.index)
        out = [[self.h("legend")]]
        for s, k in ((1, "posis"), (-1, "negis")):
            out.append([self.h(k) + ": " + "; ".join(self.fullw(a, -s if a in flip else s, self.h) for a in axes)])
        return out
    def truth_records(self, extra=()):
        out = []
        for x in self.recs:
            t = {k: x[k] for k in ("case", "course", "tooth", "axis", "planned", "achieved", "style", "direction_known")}
            for k in ("planned", "achieved"):
                if t[k] is not None: t[k] = round(t[k] + 0.0, 4) or 0
            for e in extra:
                val = x["_" + e]
                if val is None: continue
                t[{"orient": "orientation", "stag": "staging"}.get(e, e)] = val if not isinstance(val, str) else W[val]["en"][0].replace("one after another", "sequenced")
            t["case"] = str(t["case"])
            out.append(t)
        return out
    def truth_cases(self, keys=(), mform="iso"):
        out = []
        for c in self.cases:
            t = {"case": str(c["case"])}
            for k in keys:
                if k in ("start", "end"):
                    y, m = c[k]
                    t[k] = "%d-Q%d" % (y, (m - 1) // 3 + 1) if mform == "quarter" else "%d-%02d" % (y, m)
                elif k == "status": t[k] = {"switched": "switched to fixed appliance"}.get(c[k], c[k])
                elif k == "age": t["age band"] = c[k]
                else: t[k] = c[k]
            out.append(t)
        return out

def amt(x):
    x = round(x, 4)
    return int(x) if x == int(x) else x

def palmer(t, letters="UR UL LL LR".split()):
    return "%s%d" % (letters[t // 10 - 1], t % 10)

def universal(t):
    qd, d = divmod(t, 10)
    return {1: 9 - d, 2: 8 + d, 3: 25 - d, 4: 24 + d}[qd]
