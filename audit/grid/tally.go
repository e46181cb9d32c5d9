package grid

import (
	"math"

	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/prop"
	"shortfall/ingest/casebook"
)

// moments are sums over movements, and what is counted of them: those of teeth add up to
// those of their classes and arches.
type moments struct {
	rows                   int
	planned, achieved      float64
	abs, percent           float64 // of |achieved - planned|, and of 100 less it in hundredths of planned
	pp, pa, aa             float64 // of planned^2, planned achieved, achieved^2
	small, smallOut, sizes int     // plans within tolerance, those outside all the same, sizes alone
	measured               uint16  // a bit for each way of measuring
}

func (m *moments) add(r *movement) {
	p, a, e := r.planned, r.achieved, r.end
	m.rows++
	m.planned += p
	m.achieved += a
	m.abs += math.Abs(a - p)
	m.percent += 100 - 100*math.Abs(p-a)/p
	m.pp += p * p
	m.pa += p * a
	m.aa += a * a
	m.measured |= 1 << r.method
	if e&small != 0 {
		m.small++
		if e&outside != 0 {
			m.smallOut++
		}
	}
	if e&sized != 0 {
		m.sizes++
	}
}

func (m *moments) join(o *moments) {
	m.rows += o.rows
	m.planned += o.planned
	m.achieved += o.achieved
	m.abs += o.abs
	m.percent += o.percent
	m.pp += o.pp
	m.pa += o.pa
	m.aa += o.aa
	m.small += o.small
	m.smallOut += o.smallOut
	m.sizes += o.sizes
	m.measured |= o.measured
}

// end is how a movement ended.
type end uint8

const (
	outside end = 1 << iota // of tolerance
	small                   // its plan lies within tolerance, so that outside does not count
	sized                   // its size alone was recorded
)

// endOf a movement, which is counted in twenty cells.
func endOf(r *rows.Row, s *results.Settings) (e end) {
	if r.Outside(s) {
		e |= outside
	}
	if !r.Judged(s) {
		e |= small
	}
	if r.Movement.SizeOnly {
		e |= sized
	}
	return e
}

// caseSum is what one case adds to a cell.
type caseSum struct {
	planned, achieved     float64
	cluster               int32
	rows, judged, outside uint32
}

// tally is a place of a slab under way.
type tally struct {
	moments
	cases []caseSum
	quartiles
}

func (t *tally) reset() { *t = tally{cases: t.cases[:0]} }

// count adds a movement to its case; they come case by case.
func (t *tally) count(m *movement) {
	last := len(t.cases) - 1
	if last < 0 || t.cases[last].cluster != m.cluster {
		t.cases = append(t.cases, caseSum{cluster: m.cluster})
		last++
	}
	c := &t.cases[last]
	c.planned += m.planned
	c.achieved += m.achieved
	c.rows++
	if m.end&small == 0 {
		c.judged++
		if m.end&outside != 0 {
			c.outside++
		}
	}
}

// quartiles picks the quartiles of values that come in rising order out of them, without
// a list: how many will come is known.
type quartiles struct {
	place      [6]int32   // of the values that are needed, two for each quartile
	value      [6]float64 // found
	part       [3]float64 // of the way from one to the other
	seen, next int32      // how many came, and the next place that is needed
}

func (q *quartiles) begin(n int) {
	for i, share := range [3]float64{0.25, 0.5, 0.75} {
		var k int
		k, q.part[i] = stats.QuantilePlace(n, share)
		q.place[2*i], q.place[2*i+1] = int32(k), int32(min(k+1, n-1))
	}
	q.seen, q.next = 0, q.place[0]
}

func (q *quartiles) come(v float64) {
	if q.seen == q.next {
		q.take(v)
	}
	q.seen++
}

// take keeps a value that is needed, of several quartiles where there are few values.
func (q *quartiles) take(v float64) {
	q.next = math.MaxInt32
	for k, at := range q.place {
		if at == q.seen {
			q.value[k] = v
		} else if at > q.seen {
			q.next = min(q.next, at)
		}
	}
}

func (q *quartiles) of(i int) float64 {
	return stats.BetweenPlaces(q.value[2*i], q.value[2*i+1], q.part[i])
}

// scratch is what the slabs of one goroutine use one after the other.
type scratch struct {
	tallies       [places]tally
	num, den, one []float64 // of the cases of a cell
	shares        []prop.CaseCount
	// the movements of the slab under way, and of what it is part of
	whole, direction, style room
}

func (s *scratch) reset() {
	for i := range s.tallies {
		s.tallies[i].reset()
	}
}

// margins adds up the teeth to their classes and arches, and makes ready for the quartiles.
func (s *scratch) margins() {
	for _, tooth := range casebook.AllTeeth() {
		at := &toothPlaces[tooth]
		for _, place := range at[1:] {
			s.tallies[place].join(&s.tallies[at[0]].moments)
		}
	}
	for i := range s.tallies {
		if t := &s.tallies[i]; t.rows > 0 {
			t.begin(t.rows)
		}
	}
}

// list puts the sums of the cases of a tally into columns.
func (s *scratch) list(t *tally) {
	s.num, s.den, s.one, s.shares = s.num[:0], s.den[:0], s.one[:0], s.shares[:0]
	for i := range t.cases {
		c := &t.cases[i]
		s.num, s.den, s.one = append(s.num, c.achieved), append(s.den, c.planned), append(s.one, float64(c.rows))
		if c.judged > 0 {
			s.shares = append(s.shares, prop.CaseCount{X: float64(c.outside), N: float64(c.judged)})
		}
	}
}

// toothPlaces are the five places of each tooth by its FDI number.
var toothPlaces = func() (at [math.MaxUint8 + 1][5]uint8) {
	for i, t := range casebook.AllTeeth() {
		class, arch := int(t.Class())-1, int(t.Arch())-1
		for k, place := range [5]int{i, firstClass + class, firstClassArch + casebook.ArchCount*class + arch, firstArch + arch, allTeethPlace} {
			at[t][k] = uint8(place)
		}
	}
	return at
}()
