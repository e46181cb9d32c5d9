package story

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// sizes says how large the clear differences are, and how sure they are: "15 points
// more of the planned extrusion, 12 and 16 points less of the planned rotation".
func (t *teller) sizes() string {
	var parts []string
	unit := "percentage point" // once
	for _, side := range []struct {
		verdict results.Verdict
		word    string
	}{{results.Higher, "more"}, {results.Lower, "less"}} {
		var cs []*results.Comparison
		for _, c := range t.clear {
			if c.Verdict == side.verdict {
				cs = append(cs, c)
			}
		}
		if len(cs) > 0 {
			parts = append(parts, t.sized(cs, side.word, unit)...)
			unit = "point"
		}
	}
	sure := " It is beyond chance and survived every check: association, not\u00a0cause."
	if len(t.clear) > 1 {
		sure = " Each is beyond chance and survived every check: association, not\u00a0cause."
	}
	return "Within the same patients: " + strings.Join(parts, ", ") + "." + sure + t.needNotBeLess() + t.smallSizes()
}

// overplanned lists the directions in which less of larger plans was achieved, and not
// clearly less movement.
func (t *teller) overplanned() (ds []casebook.Direction) {
	for _, c := range t.clear {
		if c.Overplanned() {
			ds = append(ds, c.By.Direction)
		}
	}
	return ds
}

// needNotBeLess says where less of the plan may not be less movement.
func (t *teller) needNotBeLess() string {
	ds := t.overplanned()
	if len(ds) == 0 {
		return ""
	}
	return " In " + joined(t.nounsOf(ds)) + " this need not be less movement: the plans of which less was achieved were larger, and not clearly less was moved."
}

// smallSizes says that what differs clearly is less than the tolerance on an average plan:
// a difference may be sure and too small to act on. Where an interval reaches the
// tolerance, that it may not be so small is said too.
func (t *teller) smallSizes() string {
	inUnit := func(c *results.Comparison) results.Spread { same, _ := sameMouth(c); return same.InUnit }
	end := func(c *results.Comparison) float64 { return farther(inUnit(c).Low, inUnit(c).High) }
	ofTolerance := func(c *results.Comparison) float64 { return end(c) / t.s.Tolerance(c.Unit) }
	for _, c := range t.clear {
		if !(math.Abs(float64(inUnit(c).Value)) < t.s.Tolerance(c.Unit)) || math.IsNaN(end(c)) {
			return ""
		}
	}
	they := "the difference"
	if len(t.clear) > 1 {
		they = "each difference"
	}
	far := slices.MaxFunc(t.clear, func(a, b *results.Comparison) int { return cmp.Compare(ofTolerance(a), ofTolerance(b)) })
	if ofTolerance(far) < 1 {
		return " On an average plan " + they + " is small, less than the tolerance (" + t.tolerance() + ")."
	}
	return fmt.Sprintf(" On an average plan %s is estimated at less than the tolerance (%s); it may reach %s in %s.", they, t.tolerance(), wording.Fine(results.Number(end(far)), far.Unit), t.noun(far.By.Direction))
}

// farther is how far from zero the farther end of an interval lies.
func farther(low, high results.Number) float64 {
	return math.Max(math.Abs(float64(low)), math.Abs(float64(high)))
}

// sized words differences of one sign; both directions of an axis are one, and
// many are one in all. The first of them has its unit in full.
func (t *teller) sized(cs []*results.Comparison, word, unit string) (out []string) {
	var ds []casebook.Direction
	var ns []int
	flush := func(from, to int, between, where string) {
		points := wording.Of(to, unit)
		if from != to {
			points = fmt.Sprintf("%d %s %s", from, between, points)
		}
		unit, ns = "point", nil
		out = append(out, points+" "+word+" "+where)
	}
	grow := func(c *results.Comparison) {
		ns = append(ns, whole(results.Number(math.Abs(float64(difference(c).Difference)))))
	}
	for _, c := range cs {
		ds = append(ds, c.By.Direction)
	}
	if names := t.nounsOf(ds); len(names) > mostNamed {
		for _, c := range cs {
			grow(c)
		}
		flush(slices.Min(ns), slices.Max(ns), "to", "of the plan in "+directionsCount(len(cs)))
		return out
	}
	for i, c := range cs {
		grow(c)
		if i+1 < len(cs) && cs[i+1].By.Axis == c.By.Axis {
			continue
		}
		name := t.noun(c.By.Direction)
		if i > 0 && cs[i-1].By.Axis == c.By.Axis {
			name = axisNoun(c.By.Axis)
			if ns[0] != ns[1] { // in the order of the rows
				name += " (" + t.within(cs[i-1]) + " and " + t.within(c) + ")"
			}
		}
		flush(ns[0], ns[len(ns)-1], "and", "of the planned "+name) // a span would look like an interval
	}
	return out
}

// within names a direction beside its axis: "mesial-in" of rotation.
func (t *teller) within(c *results.Comparison) string {
	return strings.TrimSuffix(t.noun(c.By.Direction), " "+axisNoun(c.By.Axis))
}
