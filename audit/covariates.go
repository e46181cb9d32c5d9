package audit

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/ingest/casebook"
)

// casesPerTerm limits the adjusters of a model: one column for every five
// cases. Two subjects a column already give unbiased coefficients of a linear
// model (Austin & Steyerberg 2015, J Clin Epidemiol 68:627-636); five leave
// degrees of freedom for the clustered variance.
const casesPerTerm = 5

// fewOnOneSide: an indicator with fewer cases than this on one side is not a column.
const fewOnOneSide = 3

// adjuster is a covariate of the style model: one or more columns, in or out together.
type adjuster struct {
	name string
	cols []modelColumn
}

type modelColumn struct {
	name   string
	values []float64 // centred on the mean weighted by planned amount, one a row
}

// adjusterBuilder makes the candidate adjusters of a set of rows.
type adjusterBuilder struct {
	p    *prepared
	rows []int32 // of the analysed rows, weighted by their planned amount
	out  []adjuster
	// arena lends the columns; nil: their own memory.
	arena *stats.Arena
}

func (b *adjusterBuilder) row(i int) *row { return &b.p.analysed[b.rows[i]] }

// candidates lists the recorded covariates in the order in which they enter:
// those that decide the choice of a feature first. Planned amount, its square,
// tooth and arch (and direction and course where the cell pools them) describe
// the plan; clinician, wear, age, staging and change interval are recorded. A
// lost feature is a consequence of the choice and never an adjuster.
func (p *prepared) candidates(rows []int32, without string, arena *stats.Arena) []adjuster {
	b := &adjusterBuilder{p: p, rows: rows, arena: arena}
	b.number("planned amount", func(r *row) (float64, bool) { return r.planned, true })
	b.words("direction", func(r *row) int { return int(r.direction) })
	b.words("tooth class", func(r *row) int { return int(r.class) })
	b.words("tooth within class", toothWithinClass)
	b.words("arch", func(r *row) int { return int(r.arch) })
	b.words("course after the second", func(r *row) int { return min(max(r.mv.Course, 1), 3) })
	b.words("clinician", func(r *row) int { return p.clinician(r) })
	b.words("wear", func(r *row) int { return int(p.log(r).Wear) })
	b.number("age band", func(r *row) (float64, bool) { a := p.log(r).AgeBand; return float64(a), a != casebook.NoAgeBand })
	b.words("staging", func(r *row) int { return int(r.staging) })
	b.number("change interval", func(r *row) (float64, bool) {
		d := p.log(r).ChangeDays
		return float64(d.Value), d.OK
	})
	b.square("planned amount squared")
	out := b.out[:0]
	for _, a := range b.out {
		if a.name != without {
			out = append(out, a)
		}
	}
	return out
}

// chosen adds candidates while the cases allow; left names those that found no room.
func chosen(candidates []adjuster, cases int) (in []adjuster, left []string) {
	room := cases / casesPerTerm
	for i, a := range candidates {
		if len(a.cols) > room && i > 0 { // the planned amount always enters
			left = append(left, a.name)
			continue
		}
		room -= len(a.cols)
		in = append(in, a)
	}
	return in, left
}

// toothWithinClass is 1 for the mesial tooth of its class and 2 for a distal one.
func toothWithinClass(r *row) int {
	switch r.tooth.Position() {
	case 2, 5, 7, 8:
		return 2
	}
	return 1
}

var unlogged casebook.Case

// log is the case record of a row, all blank where the log lacks the case.
func (p *prepared) log(r *row) *casebook.Case {
	if c := p.cases[r.cluster].log; c != nil {
		return c
	}
	return &unlogged
}

// number adds a covariate that is a number; missing values take the mean and,
// where enough cases miss it, an indicator of their own. One that is missing
// more often than not is left out.
func (b *adjusterBuilder) number(name string, value func(*row) (float64, bool)) {
	v, missing := b.arena.Floats(len(b.rows)), b.arena.Floats(len(b.rows))
	var sum, weight, total float64
	for i := range b.rows {
		r := b.row(i)
		total += r.planned
		x, ok := value(r)
		if !ok {
			missing[i] = 1
			continue
		}
		v[i] = x
		sum += r.planned * x
		weight += r.planned
	}
	if weight < total/2 {
		return
	}
	mean, scale := sum/weight, 0.0
	for i := range v {
		if missing[i] == 1 {
			v[i] = mean
		}
		v[i] -= mean
		scale = max(scale, math.Abs(v[i]))
	}
	if scale <= 1e-12*math.Abs(mean) {
		return
	}
	a := adjuster{name, []modelColumn{{name, v}}}
	if b.enough(missing) {
		a.cols = append(a.cols, b.centred(name+" not recorded", missing))
	}
	b.out = append(b.out, a)
}

// words adds a covariate that is one of a few words, coded by small whole
// numbers: an indicator for each but the commonest. 0 is "not recorded".
func (b *adjusterBuilder) words(name string, code func(*row) int) {
	levels, codes := b.levels(code)
	var sum, total float64
	reference := 0
	for c := range levels {
		sum += levels[c].weight
		if levels[c].weight > levels[reference].weight {
			reference = c
		}
	}
	if levels[0].weight > sum/2 || levels[reference].weight == sum {
		return
	}
	for i := range codes {
		total += b.row(i).planned
	}
	a := adjuster{name: name}
	for c := range levels {
		if l := &levels[c]; c != reference && l.weight != 0 && l.on >= fewOnOneSide && l.off >= fewOnOneSide {
			a.cols = append(a.cols, modelColumn{fmt.Sprintf("%s %d", name, c), b.indicator(codes, c, l.weight/total)})
		}
	}
	if len(a.cols) > 0 {
		b.out = append(b.out, a)
	}
}

// wordLevel is one word of a covariate: its planned total, the cases with a row of
// it and those with a row of another.
type wordLevel struct {
	weight  float64
	on, off int
	last    int // case last seen with it
	alone   int // cases with nothing else
}

// levels counts the words in one pass: the rows of a case are neighbours.
func (b *adjusterBuilder) levels(code func(*row) int) (levels []wordLevel, codes []int32) {
	codes = make([]int32, len(b.rows))
	levels = []wordLevel{{last: -1}}
	cases, words, last, one := 0, 0, -1, 0
	closeCase := func() {
		if words == 1 {
			levels[one].alone++
		}
	}
	for i := range b.rows {
		r := b.row(i)
		c := code(r)
		for c >= len(levels) {
			levels = append(levels, wordLevel{last: -1})
		}
		if codes[i] = int32(c); r.cluster != last {
			closeCase()
			cases, words, last = cases+1, 0, r.cluster
		}
		l := &levels[c]
		if l.weight += r.planned; l.last != r.cluster {
			l.on, l.last, words, one = l.on+1, r.cluster, words+1, c
		}
	}
	closeCase()
	for c := range levels {
		levels[c].off = cases - levels[c].alone
	}
	return levels, codes
}

// indicator is 1 where the code is c, moved to mean zero.
func (b *adjusterBuilder) indicator(codes []int32, c int, mean float64) []float64 {
	v := b.arena.Floats(len(codes))
	for i, k := range codes {
		if v[i] = -mean; int(k) == c {
			v[i] = 1 - mean
		}
	}
	return v
}

// square adds the square of the first candidate, the planned amount.
func (b *adjusterBuilder) square(name string) {
	if len(b.out) == 0 || b.out[0].name != "planned amount" {
		return
	}
	from := b.out[0].cols[0].values
	v := b.arena.Floats(len(from))
	low, high := math.Inf(1), 0.0
	for i, x := range from {
		v[i] = x * x
		low, high = min(low, v[i]), max(high, v[i])
	}
	if high-low > 1e-9*high {
		b.out = append(b.out, adjuster{name, []modelColumn{b.centred(name, v)}})
	}
}

// centred moves a column to weighted mean zero, so that the intercept of the
// model is the adjusted mean.
func (b *adjusterBuilder) centred(name string, v []float64) modelColumn {
	var sum, weight float64
	for i := range v {
		w := b.row(i).planned
		sum += w * v[i]
		weight += w
	}
	mean := sum / weight
	for i := range v {
		v[i] -= mean
	}
	return modelColumn{name, v}
}

// enough reports whether an indicator splits the cases with a few on each side.
func (b *adjusterBuilder) enough(is []float64) bool {
	var on, off, last [2]int
	last = [2]int{-1, -1}
	for i, x := range is {
		c := b.row(i).cluster
		if x == 1 && last[1] != c {
			on[0]++
			last[1] = c
		}
		if x == 0 && last[0] != c {
			off[0]++
			last[0] = c
		}
	}
	return on[0] >= fewOnOneSide && off[0] >= fewOnOneSide
}
