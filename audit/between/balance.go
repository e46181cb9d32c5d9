package between

import (
	"math"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/confound"
	"shortfall/ingest/casebook"
)

// ofClinician begins the name of a covariate that is one clinician.
const ofClinician = "clinician "

// armValues are the values of one covariate in the two arms, missing ones left out.
type armValues [2][]float64

func valuesByArm(p *rows.Set, rows []int32, treated func(*rows.Row) bool, value func(*rows.Row) (float64, bool), arena *stats.Arena) (v armValues) {
	for arm := range v {
		v[arm] = arena.Room(len(rows))[:0]
	}
	for _, i := range rows {
		r := &p.Analysed[i]
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
// standardised difference is treated minus untreated, and once more after overlap
// weighting, where there are weights, on the same standard deviation (Austin &
// Stuart 2015, Stat Med 34:3661-3679). Covariates that do not vary are
// left out.
func balance(p *rows.Set, which []int32, treated func(*rows.Row) bool, weights []float64) []results.Balance {
	out := balanceNumber(p, nil, "planned amount", which, weights, treated, func(r *rows.Row) (float64, bool) { return r.Planned, true })
	words := balanceWords(p)
	for w := range words {
		out = words[w].count(p, which, weights, treated, out)
	}
	return balanceNumber(p, out, "change interval, days", which, weights, treated, changeDays(p))
}

func balanceNumber(p *rows.Set, out []results.Balance, name string, rows []int32, weights []float64, treated func(*rows.Row) bool, value func(*rows.Row) (float64, bool)) []results.Balance {
	arena := borrow(p)
	defer giveBack(p, arena)
	v := valuesByArm(p, rows, treated, value, arena)
	if !varies(v) {
		return out
	}
	b := results.Balance{
		Covariate: name, Software: measure.MeanOf(v[0]), Clinician: measure.MeanOf(v[1]),
		SMD: measure.OrMissing(confound.StandardizedMeanDifference(v[1], v[0])), After: results.NotEstimable,
	}
	if weights != nil {
		sum, total := weightedByArm(p, rows, weights, treated, value)
		b.After = after(&b, sum, total)
	}
	return append(out, b)
}

// rounding is what the arithmetic of weights leaves of a difference that is none.
const rounding = 1e-9

// weightedByArm sums weights and values times weights of both arms, missing ones left out.
func weightedByArm(p *rows.Set, rows []int32, weights []float64, treated func(*rows.Row) bool, value func(*rows.Row) (float64, bool)) (sum, total [2]float64) {
	for j, i := range rows {
		r := &p.Analysed[i]
		if x, ok := value(r); ok {
			k := measure.OneIf(treated(r))
			sum[k], total[k] = sum[k]+weights[j]*x, total[k]+weights[j]
		}
	}
	return sum, total
}

// after is the standardised difference with weights: the weighted difference, from sums and
// totals of both arms, over the standard deviation that the unweighted one was divided by.
func after(b *results.Balance, sum, total [2]float64) results.Number {
	if b.SMD == 0 || !b.SMD.OK() {
		return results.NotEstimable
	}
	sd := float64(b.Clinician-b.Software) / float64(b.SMD)
	d := (sum[1]/total[1] - sum[0]/total[0]) / sd
	if math.Abs(d) < rounding {
		d = 0
	}
	return measure.OrMissing(d)
}

// balanceWord is a covariate that is one of a few words, coded 1, 2, ... in
// the order of names; 0 is "not recorded". A word without a name is not printed.
type balanceWord struct {
	names []string
	code  func(*rows.Row) int
}

func balanceWords(p *rows.Set) []balanceWord {
	first := firstStart(p)
	words := []balanceWord{
		{[]string{"upper arch", ""}, func(r *rows.Row) int { return int(r.Arch) }},
		{nil, func(r *rows.Row) int { return int(r.Class) }},
		{[]string{"", "distal tooth of its class"}, toothWithinClass},
		{nil, wordOfCase(p, "wear, and when it was recorded", func(r *rows.Row) int { return wearCode(p, r) })},
		{nil, wordOfCase(p, "age band as a word", func(r *rows.Row) int { return int(p.Log(r).AgeBand) })},
		{[]string{"", "sequenced staging"}, func(r *rows.Row) int { return int(r.Staging) }},
		{nil, p.Clinician},
		{nil, wordOfCase(p, "quarter of start", func(r *rows.Row) int { return startQuarter(p, r, first) })},
	}
	for _, c := range casebook.ToothClasses() {
		words[1].names = append(words[1].names, c.String())
	}
	for _, w := range casebook.Wears() {
		words[3].names = append(words[3].names, w.String()+" wear, recorded before")
	}
	for _, w := range casebook.Wears() {
		words[3].names = append(words[3].names, w.String()+" wear, judged later or when is not said")
	}
	for _, a := range casebook.AgeBands() {
		words[4].names = append(words[4].names, "age "+a.String())
	}
	for _, c := range p.Clinicians {
		words[6].names = append(words[6].names, ofClinician+c)
	}
	for q := range lastQuarter(p, first) {
		words[7].names = append(words[7].names, "started "+quarterOf(first, q+1))
	}
	return words
}

// startQuarter numbers the quarters of start from that of the first one, 1; 0 where
// the month is not on record.
func startQuarter(p *rows.Set, r *rows.Row, first casebook.Month) int {
	m := p.Log(r).Start
	if m == 0 {
		return 0
	}
	return int(m)/3 - int(first)/3 + 1
}

func firstStart(p *rows.Set) (first casebook.Month) {
	for i := range p.Dataset.Cases {
		if m := p.Dataset.Cases[i].Start; m != 0 && (first == 0 || m < first) {
			first = m
		}
	}
	return first
}

func lastQuarter(p *rows.Set, first casebook.Month) (n int) {
	for i := range p.Dataset.Cases {
		if m := p.Dataset.Cases[i].Start; m != 0 {
			n = max(n, int(m)/3-int(first)/3+1)
		}
	}
	return n
}

// quarterOf names a quarter by its number.
func quarterOf(first casebook.Month, number int) string {
	return casebook.Month(3 * (int(first)/3 + number - 1)).Quarter()
}

// wearCode tells wear recorded before the outcome from wear that may follow from it.
func wearCode(p *rows.Set, r *rows.Row) int {
	w := p.Log(r).Wear
	if w == casebook.NoWear || w == p.WearBefore(r) {
		return int(w)
	}
	return casebook.WearCount + int(w)
}

// count appends the share of each named word in the two arms, of the movements
// with the covariate recorded.
func (w *balanceWord) count(p *rows.Set, which []int32, weights []float64, treated func(*rows.Row) bool, out []results.Balance) []results.Balance {
	n, weight := make([][2]int, len(w.names)+1), make([][2]float64, len(w.names)+1)
	var total [2]int
	var allWeight [2]float64
	for j, i := range which {
		r := &p.Analysed[i]
		c := w.code(r)
		if c == 0 {
			continue
		}
		arm := measure.OneIf(treated(r))
		n[c][arm]++
		total[arm]++
		if weights != nil {
			weight[c][arm] += weights[j]
			allWeight[arm] += weights[j]
		}
	}
	for k, name := range w.names {
		x := n[k+1]
		if all := x[0] + x[1]; name == "" || all == 0 || all == total[0]+total[1] {
			continue
		}
		b := results.Balance{
			Covariate: name, Software: measure.OrMissing(float64(x[0]) / float64(total[0])),
			Clinician: measure.OrMissing(float64(x[1]) / float64(total[1])), After: results.NotEstimable,
		}
		b.SMD = measure.OrMissing(confound.StandardizedShareDifference(float64(b.Clinician), float64(b.Software)))
		if weights != nil {
			b.After = after(&b, weight[k+1], allWeight)
		}
		out = append(out, b)
	}
	return out
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
