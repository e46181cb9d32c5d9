"""The invented records that the fixture scripts write in many ways. The Go
table test holds the same records, written out by hand (fixtures_test.go)."""

CASE_HEAD = ["case", "practice", "clinician", "age band", "start month", "end month", "status",
             "planned aligners", "change interval (days)", "wear", "refinements"]
CASES = [
    ["A1", "P1", "C1", "18-29", "2024-02", "2024-12", "completed", 22, 7, "good", 1],
    ["A2", "P1", "C2", "30-44", "2024-03", None, "under treatment", 18, 10, "fair", 0],
    ["A3", "P1", "C1", "12-17", "2024-04", "2025-01", "completed", 30, 7, "poor", 0],
]
COURSE_HEAD = ["case", "course", "start month", "aligners planned", "aligners used"]
COURSES = [
    ["A1", 1, "2024-02", 22, 22],
    ["A1", 2, "2024-09", 8, 8],
    ["A2", 1, "2024-03", 18, None],
    ["A3", 1, "2024-04", 30, 29],
]
MOVE_HEAD = ["case", "course", "tooth", "axis", "planned", "achieved", "unit", "style", "shape",
             "orientation", "feature size (mm)", "lost", "lost month", "staging"]
MOVES = [
    ["A1", 1, 13, "rotation", 18.5, 13.25, "deg", "clinician-designed", "bevelled", "vertical", 4, "no", None, "combined"],
    ["A1", 1, 22, "vertical", 1.25, 0.5, "mm", "software-suggested", "ellipsoid", "horizontal", 3, "yes", 2, "sequenced"],
    ["A1", 1, 36, "mesiodistal tip", -6, -4.5, "deg", "none", None, None, None, None, None, None],
    ["A1", 2, 13, "rotation", 5.25, 4, "deg", "clinician-designed", None, None, None, None, None, None],
    ["A2", 1, 41, "buccolingual torque", -8, None, "deg", "software-suggested", None, None, None, None, None, None],
    ["A3", 1, 45, "mesiodistal shift", 1.5, 1.5, "mm", "none", None, None, None, None, None, None],
    ["A3", 1, 45, "vertical", -0.75, 0, "mm", "none", None, None, None, None, None, None],
    ["A3", 1, 24, "buccolingual shift", 2, "not measured", "mm", "none", None, None, None, None, None, None],
    ["A3", 1, 33, "rotation", 0, 1.5, "deg", "none", None, None, None, None, None, None],
]
REPEAT_HEAD = ["case", "course", "tooth", "axis", "first", "second", "unit"]
REPEATS = [
    ["A1", 1, 13, "rotation", 13.25, 13.75, "deg"],
    ["A3", 1, 45, "vertical", 0, 0.125, "mm"],
]
# FDI (ISO 3950) -> Universal and Palmer, written out for the teeth used here.
UNIVERSAL = {13: 6, 22: 10, 36: 19, 41: 25, 45: 29, 24: 12, 33: 22}
PALMER = {13: "UR3", 22: "UL2", 36: "LL6", 41: "LR1", 45: "LR5", 24: "UL4", 33: "LL3"}

FLAT_HEAD = CASE_HEAD + ["course", "course start month", "course aligners planned", "course aligners used"] + MOVE_HEAD[2:]


def flat():
    """One row a movement, with the columns of its case and course repeated."""
    cases = {c[0]: c for c in CASES}
    courses = {(c[0], c[1]): c for c in COURSES}
    return [cases[m[0]] + courses[m[0], m[1]][1:] + m[2:] for m in MOVES]


# A smaller set for layouts and values: three movements of one course.
SMALL_HEAD = ["case", "status", "course", "tooth", "axis", "planned", "achieved"]
SMALL = [
    ["B1", "completed", 1, 13, "rotation", 12.5, 10],
    ["B1", "completed", 1, 45, "vertical", -1.5, -1.25],
    ["B2", "completed", 1, 33, "buccolingual torque", -4, 1],
]
