package audit

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/ingest/casebook"
)

// armValues are the values of one covariate in the two arms, missing ones left out.
type armValues [2][]float64

func (p *prepared) armValues(rows []int32, treated func(*row) bool, value func(*row) (float64, bool)) (v armValues) {
	for _, i := range rows {
		r := &p.analysed[i]
		x, ok := value(r)
		switch {
		case !ok:
		case treated(r):
			v[1] = append(v[1], x)
		default:
			v[0] = append(v[0], x)
		}
	}
	return v
}

// balance is the table of recorded covariates by arm, over movements; the
// standardised difference is treated minus untreated. Covariates that do not
// vary are left out.
func (p *prepared) balance(rows []int32, treated func(*row) bool) []Balance {
	var out []Balance
	number := func(name string, value func(*row) (float64, bool)) {
		v := p.armValues(rows, treated, value)
		b := Balance{
			Covariate: name, Software: meanOf(v[0]), Clinician: meanOf(v[1]),
			SMD: orMissing(stats.StandardizedMeanDifference(v[1], v[0])),
		}
		if varies(v) {
			out = append(out, b)
		}
	}
	share := func(name string, is func(*row) (bool, bool)) {
		v := p.armValues(rows, treated, func(r *row) (float64, bool) {
			yes, ok := is(r)
			if yes {
				return 1, ok
			}
			return 0, ok
		})
		b := Balance{Covariate: name, Software: meanOf(v[0]), Clinician: meanOf(v[1])}
		b.SMD = orMissing(stats.StandardizedShareDifference(float64(b.Clinician), float64(b.Software)))
		if varies(v) {
			out = append(out, b)
		}
	}
	number("planned amount", func(r *row) (float64, bool) { return r.planned, true })
	share("upper arch", func(r *row) (bool, bool) { return r.arch == casebook.Upper, true })
	for _, c := range casebook.ToothClasses() {
		share(c.String(), func(r *row) (bool, bool) { return r.class == c, true })
	}
	share("distal tooth of its class", func(r *row) (bool, bool) { return toothWithinClass(r) == 2, true })
	for _, w := range casebook.Wears() {
		share(w.String()+" wear", func(r *row) (bool, bool) { g := p.log(r).Wear; return g == w, g != casebook.NoWear })
	}
	for _, a := range casebook.AgeBands() {
		share("age "+a.String(), func(r *row) (bool, bool) { g := p.log(r).AgeBand; return g == a, g != casebook.NoAgeBand })
	}
	share("sequenced staging", func(r *row) (bool, bool) { return r.staging == casebook.Sequenced, r.staging != casebook.NoStaging })
	number("change interval, days", func(r *row) (float64, bool) { d := p.log(r).ChangeDays; return float64(d.Value), d.OK })
	for code, name := range p.clinicians {
		share("clinician "+name, func(r *row) (bool, bool) { c := p.clinician(r); return c == code+1, c != 0 })
	}
	return out
}

func meanOf(x []float64) Number {
	m, _ := meanSD(x)
	return orMissing(m)
}

// meanSD gives the mean and the standard deviation (divisor n-1); NaN where
// there are too few values.
func meanSD(x []float64) (mean, sd float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	var s2 float64
	for _, v := range x {
		s2 += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(s2 / (n - 1))
}

func varies(v armValues) bool {
	first, seen := 0.0, false
	for _, arm := range v {
		for _, x := range arm {
			if seen && x != first {
				return true
			}
			first, seen = x, true
		}
	}
	return false
}

// enoughOverlap is the least mean share of an arm inside the central 90 % of
// the other: below it the model would extrapolate for half the movements. Our
// own convention.
const enoughOverlap = 0.5

// overlap compares the planned amounts of the two arms.
func (p *prepared) overlap(rows []int32, treated func(*row) bool) Overlap {
	v := p.armValues(rows, treated, func(r *row) (float64, bool) { return r.planned, true })
	if len(v[0]) == 0 || len(v[1]) == 0 {
		return Overlap{ShareInside: NotEstimable, Reason: "one of the two styles was not used here"}
	}
	var share float64
	for k, arm := range v {
		q := stats.Quantiles(v[1-k], 0.05, 0.95)
		inside := 0
		for _, x := range arm {
			if x >= q[0] && x <= q[1] {
				inside++
			}
		}
		share += float64(inside) / float64(len(arm)) / 2
	}
	o := Overlap{ShareInside: Number(share), Enough: share >= enoughOverlap}
	if !o.Enough {
		o.Reason = fmt.Sprintf("the planned amounts hardly overlap: %.0f %% of movements lie inside the range of the other style (at least %.0f %% needed)",
			100*share, 100*enoughOverlap)
	}
	return o
}
