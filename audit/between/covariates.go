package between

import (
	"fmt"
	"math"

	"shortfall/audit/rows"
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

// Adjuster is a covariate of the style model: one or more columns, in or out together.
type Adjuster struct {
	Name string
	Cols []ModelColumn
}

type ModelColumn struct {
	Name   string
	Values []float64 // centred on the mean weighted by planned amount, one a row
}

// AdjusterBuilder makes the candidate adjusters of a set of rows.
type AdjusterBuilder struct {
	P    *rows.Set
	Rows []int32 // of the analysed rows, weighted by their planned amount
	Out  []Adjuster
	// arena lends the columns; nil: their own memory.
	arena *stats.Arena
}

func (b *AdjusterBuilder) row(i int) *rows.Row { return &b.P.Analysed[b.Rows[i]] }

// candidates lists the recorded covariates of a comparison between patients in
// the order in which they enter: the plan and its square, then what decides when
// and by whom a patient was treated (results and habits drift with both), then
// the tooth. A lost attachment is a consequence of the choice and no adjuster; nor is wear,
// unless the sheet says that it was recorded before the outcome could be known.
func candidates(p *rows.Set, which []int32, g *Grouping, arena *stats.Arena) []Adjuster {
	b := &AdjusterBuilder{P: p, Rows: which, arena: arena}
	b.Number("planned amount", func(r *rows.Row) (float64, bool) { return r.Planned, true })
	b.Square("planned amount squared")
	if g.Further != nil {
		g.Further(b)
	}
	b.Words("direction", func(r *rows.Row) int { return int(r.Direction) })
	b.Number("start month", numberOfCase(p, "start month", func(r *rows.Row) (float64, bool) { m := p.Log(r).Start; return float64(m), m != 0 }))
	b.bend("start month")
	b.Words("clinician", p.Clinician)
	practices := map[string]int{}
	b.Words("practice", asMet(wordOfCase(p, "practice", func(r *rows.Row) int { return numbered(practices, p.Cases[r.Cluster].Key.Practice) })))
	b.Words("how achieved was measured", func(r *rows.Row) int { return int(r.Method) })
	b.Words("tooth class", func(r *rows.Row) int { return int(r.Class) })
	b.Words("tooth within class", toothWithinClass)
	b.Words("arch", func(r *rows.Row) int { return int(r.Arch) })
	b.Words("course after the second", func(r *rows.Row) int { return int(min(r.Course, 3)) })
	b.Number("age band", numberOfCase(p, "age band", func(r *rows.Row) (float64, bool) {
		a, ok := p.Log(r).AgeOrder()
		return float64(a), ok
	}))
	b.own("age group in own words", func(c *casebook.Case) string {
		if _, ordered := c.AgeOrder(); ordered {
			return ""
		}
		return c.Own.AgeBand
	})
	b.Words("wear recorded before", wordOfCase(p, "wear recorded before", func(r *rows.Row) int { return int(p.WearBefore(r)) }))
	b.own("wear recorded before, in own words", func(c *casebook.Case) string {
		if c.WearRecorded != casebook.BeforeOutcome {
			return ""
		}
		return c.Own.Wear
	})
	b.Words("staging", func(r *rows.Row) int { return int(r.Staging) })
	b.Number("change interval", changeDays(p))
	out := b.Out[:0]
	for _, a := range b.Out {
		if a.Name != g.Without {
			out = append(out, a)
		}
	}
	return out
}

// own adds categories in a practice's own words; "" is not recorded.
func (b *AdjusterBuilder) own(name string, of func(*casebook.Case) string) {
	groups := map[string]int{}
	word := wordOfCase(b.P, name, func(r *rows.Row) int {
		if word := of(b.P.Log(r)); word != "" {
			return numbered(groups, word)
		}
		return 0
	})
	b.Words(name, asMet(word))
}

// Chosen adds candidates while the cases allow; left names those that found no room.
func Chosen(candidates []Adjuster, cases int) (in []Adjuster, left []string) {
	room := cases / casesPerTerm
	for i, a := range candidates {
		if len(a.Cols) > room && i > 0 { // the planned amount always enters
			left = append(left, a.Name)
			continue
		}
		room -= len(a.Cols)
		in = append(in, a)
	}
	return in, left
}

// toothWithinClass is 1 for the mesial tooth of its class and 2 for a distal one.
func toothWithinClass(r *rows.Row) int {
	switch r.Tooth.Position() {
	case 2, 5, 7, 8:
		return 2
	}
	return 1
}

// Number adds a covariate that is a number; missing values take the mean and,
// where enough cases miss it, an indicator of their own. One that is missing
// more often than not is left out.
func (b *AdjusterBuilder) Number(name string, value func(*rows.Row) (float64, bool)) {
	v, missing := b.arena.Floats(len(b.Rows)), b.arena.Floats(len(b.Rows))
	var sum, weight, total float64
	for i := range b.Rows {
		r := b.row(i)
		total += r.Planned
		x, ok := value(r)
		if !ok {
			missing[i] = 1
			continue
		}
		v[i] = x
		sum += r.Planned * x
		weight += r.Planned
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
	a := Adjuster{name, []ModelColumn{{name, v}}}
	if b.enough(missing) {
		a.Cols = append(a.Cols, b.centred(name+" not recorded", missing))
	}
	b.Out = append(b.Out, a)
}

// Words adds a covariate that is one of a few words, coded by small whole
// numbers: an indicator for each but the commonest. 0 is "not recorded".
func (b *AdjusterBuilder) Words(name string, code func(*rows.Row) int) {
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
		total += b.row(i).Planned
	}
	a := Adjuster{Name: name}
	for c := range levels {
		if l := &levels[c]; c != reference && l.weight != 0 && l.on >= fewOnOneSide && l.off >= fewOnOneSide {
			a.Cols = append(a.Cols, ModelColumn{fmt.Sprintf("%s %d", name, c), b.indicator(codes, c, l.weight/total)})
		}
	}
	if len(a.Cols) > 0 {
		b.Out = append(b.Out, a)
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
func (b *AdjusterBuilder) levels(code func(*rows.Row) int) (levels []wordLevel, codes []int32) {
	codes = b.arena.Codes(len(b.Rows))
	levels = []wordLevel{{last: -1}}
	cases, words, last, one := 0, 0, -1, 0
	closeCase := func() {
		if words == 1 {
			levels[one].alone++
		}
	}
	for i := range b.Rows {
		r := b.row(i)
		c := code(r)
		for c >= len(levels) {
			levels = append(levels, wordLevel{last: -1})
		}
		if codes[i] = int32(c); r.Cluster != last {
			closeCase()
			cases, words, last = cases+1, 0, r.Cluster
		}
		l := &levels[c]
		if l.weight += r.Planned; l.last != r.Cluster {
			l.on, l.last, words, one = l.on+1, r.Cluster, words+1, c
		}
	}
	closeCase()
	for c := range levels {
		levels[c].off = cases - levels[c].alone
	}
	return levels, codes
}

// indicator is 1 where the code is c, moved to mean zero.
func (b *AdjusterBuilder) indicator(codes []int32, c int, mean float64) []float64 {
	v := b.arena.Room(len(codes))
	for i, k := range codes {
		if v[i] = -mean; int(k) == c {
			v[i] = 1 - mean
		}
	}
	return v
}

// splineCases are the cases from which a number bends: below, its two further
// columns would take the room of the clinician.
const splineCases = 60

// bend adds to the number added last, if it is the named one, the columns of a
// restricted cubic spline with four knots, at its 5th, 35th, 65th and 95th percentile
// over the cases (the knots of rcspline.eval(nk = 4) in R's Hmisc, of Harrell 2001,
// Regression Modeling Strategies): results and habits change with time in no straight line.
func (b *AdjusterBuilder) bend(name string) {
	if len(b.Out) == 0 || b.Out[len(b.Out)-1].Name != name {
		return
	}
	a := &b.Out[len(b.Out)-1]
	var of []float64
	last := -1
	for i := range b.Rows {
		if c := b.row(i).Cluster; c != last {
			of, last = append(of, a.Cols[0].Values[i]), c
		}
	}
	if len(of) < splineCases {
		return
	}
	k := stats.Quantiles(of, 0.05, 0.35, 0.65, 0.95)
	if k[0] == k[1] || k[1] == k[2] || k[2] == k[3] {
		return
	}
	for j := range 2 {
		v := b.arena.Room(len(b.Rows))
		for i, x := range a.Cols[0].Values {
			v[i] = bent(x, k, j)
		}
		a.Cols = append(a.Cols, b.centred(fmt.Sprintf("%s, bend %d", name, j+1), v))
	}
}

// bent is column j+1 of a restricted cubic spline with four knots, a straight line beyond
// the outer ones: the terms of Devlin & Weeks 1986 (Proc 11th Annual SAS Users Group
// International Conference, 646-651) over the square of the range of the knots, as
// rcspline.eval(norm = 2) in R's Hmisc gives them (see the test).
func bent(x float64, k []float64, j int) float64 {
	cube := func(x float64) float64 { x = max(x, 0); return x * x * x }
	v := cube(x-k[j]) - cube(x-k[2])*(k[3]-k[j])/(k[3]-k[2]) + cube(x-k[3])*(k[2]-k[j])/(k[3]-k[2])
	return v / ((k[3] - k[0]) * (k[3] - k[0]))
}

// Square adds the square of the first candidate, the planned amount.
func (b *AdjusterBuilder) Square(name string) {
	if len(b.Out) == 0 || b.Out[0].Name != "planned amount" {
		return
	}
	from := b.Out[0].Cols[0].Values
	v := b.arena.Room(len(from))
	low, high := math.Inf(1), 0.0
	for i, x := range from {
		v[i] = x * x
		low, high = min(low, v[i]), max(high, v[i])
	}
	if high-low > 1e-9*high {
		b.Out = append(b.Out, Adjuster{name, []ModelColumn{b.centred(name, v)}})
	}
}

// centred moves a column to weighted mean zero, so that the intercept of the
// model is the adjusted mean.
func (b *AdjusterBuilder) centred(name string, v []float64) ModelColumn {
	var sum, weight float64
	for i := range v {
		w := b.row(i).Planned
		sum += w * v[i]
		weight += w
	}
	mean := sum / weight
	for i := range v {
		v[i] -= mean
	}
	return ModelColumn{name, v}
}

// enough reports whether an indicator splits the cases with a few on each side.
func (b *AdjusterBuilder) enough(is []float64) bool {
	var on, off, last [2]int
	last = [2]int{-1, -1}
	for i, x := range is {
		c := b.row(i).Cluster
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
