// Package grid computes the expression of every cell: axis, direction, tooth,
// class, arch, style and course, with all margins.
//
// Place in the pipeline: it reads a rows.Set and gives results.Cell values; the
// small-number rule of the grid, whose margins overlap, is here too.
package grid

import (
	"cmp"
	"context"
	"math"
	"slices"

	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// columns are the rows of one cell, case by case.
type columns struct {
	planned, achieved []float64
	cluster           []int
	sizeOnly          int
	measured          [casebook.MethodCount + 1]bool // in one of these ways
	// rising are the achieved/planned of the rows in rising order
	rising []float64
	ends   []end // of each row
	// scratch of newCell, kept from cell to cell
	scratch []float64
	outside []bool
	judged  []int // clusters of the movements in outside
}

// end is how a movement ended: outside tolerance, and whether its plan is large enough for
// that to count.
type end struct{ outside, judged bool }

// ends of all analysed rows: each is counted in twenty cells.
func ends(p *rows.Set) []end {
	out := make([]end, len(p.Analysed))
	for i := range out {
		r := &p.Analysed[i]
		out[i] = end{r.Outside(&p.Settings), r.Judged(&p.Settings)}
	}
	return out
}

// work gives n numbers of scratch, their content undefined.
func (c *columns) work(n int) []float64 {
	if cap(c.scratch) < n {
		c.scratch = make([]float64, n+n/4)
	}
	return c.scratch[:n]
}

func (c *columns) reset() {
	c.planned, c.achieved, c.cluster, c.rising, c.ends, c.sizeOnly = c.planned[:0], c.achieved[:0], c.cluster[:0], c.rising[:0], c.ends[:0], 0
	c.measured = [casebook.MethodCount + 1]bool{}
}

func (c *columns) add(r *rows.Row, e end) {
	c.planned, c.achieved, c.cluster = append(c.planned, r.Planned), append(c.achieved, r.Achieved), append(c.cluster, r.Cluster)
	c.ends = append(c.ends, e)
	c.measured[r.Method] = true
	if r.Movement.SizeOnly {
		c.sizeOnly++
	}
}

// slab is the part of the grid with one axis, course stratum, direction and
// style (zero: a margin); its rows fall into places.
type slab struct {
	by     results.By
	rows   []int32 // indices into prepared.analysed
	rising []int32 // the same by rising achieved/planned
}

// slabLists are rows by axis, course, direction (both, positive, negative) and
// style (all, then each).
type slabLists [casebook.AxisCount + 1][2][3][casebook.StyleCount + 1][]int32

// The places of a slab: teeth, classes, classes in an arch, arches, all teeth.
const (
	firstClass     = casebook.ToothCount
	firstClassArch = firstClass + casebook.ToothClassCount
	firstArch      = firstClassArch + casebook.ToothClassCount*casebook.ArchCount
	allTeethPlace  = firstArch + casebook.ArchCount
	places         = allTeethPlace + 1
)

// toothPlace is the place of a tooth by its FDI number.
var toothPlace = func() (at [math.MaxUint8 + 1]uint8) {
	for i, t := range casebook.AllTeeth() {
		at[t] = uint8(i)
	}
	return at
}()

// placesOf lists the five places a movement counts in.
func placesOf(r *rows.Row) [5]int {
	class, arch := int(r.Class)-1, int(r.Arch)-1
	return [5]int{int(toothPlace[r.Tooth]), firstClass + class, firstClassArch + casebook.ArchCount*class + arch, firstArch + arch, allTeethPlace}
}

// placeBy names a place.
func placeBy(place int) (by results.By) {
	switch {
	case place < firstClass:
		by.Tooth = casebook.AllTeeth()[place]
	case place < firstClassArch:
		by.ToothClass = casebook.ToothClass(place - firstClass + 1)
	case place < firstArch:
		by.ToothClass = casebook.ToothClass((place-firstClassArch)/casebook.ArchCount + 1)
		by.Arch = casebook.Arch((place-firstClassArch)%casebook.ArchCount + 1)
	case place < allTeethPlace:
		by.Arch = casebook.Arch(place - firstArch + 1)
	}
	return by
}

// printOrder puts the margins of a slab before its parts.
var printOrder = func() (order []int) {
	order = append(order, allTeethPlace)
	for _, from := range [][2]int{{firstArch, allTeethPlace}, {firstClass, firstClassArch}, {firstClassArch, firstArch}, {0, firstClass}} {
		for i := from[0]; i < from[1]; i++ {
			order = append(order, i)
		}
	}
	return order
}()

// risingRows lists the analysed rows by achieved/planned: sorted once here, no cell
// needs to sort for its quantiles.
func risingRows(p *rows.Set) []int32 {
	type ratio struct {
		value float64
		row   int32
	}
	all := make([]ratio, len(p.Analysed))
	for i := range all {
		all[i] = ratio{p.Analysed[i].Expression(), int32(i)}
	}
	slices.SortFunc(all, func(a, b ratio) int { return cmp.Compare(a.value, b.value) })
	order := make([]int32, len(all))
	for i := range all {
		order[i] = all[i].row
	}
	return order
}

// place puts row i into its four slabs: its direction and both, its style and
// all.
func (l *slabLists) place(i int32, r *rows.Row) {
	course, sign := 1, 2
	if r.First {
		course = 0
	}
	if r.Direction.Sign() > 0 {
		sign = 1
	}
	at := &l[r.Axis][course]
	for _, d := range [2]int{0, sign} {
		at[d][0] = append(at[d][0], i)
		if r.Style != casebook.NoStyle {
			at[d][r.Style] = append(at[d][r.Style], i)
		}
	}
}

// slabs sorts the analysed rows into slabs, in print order; empty ones are left
// out.
func slabs(p *rows.Set) []slab {
	var lists, rising slabLists
	for i := range p.Analysed {
		lists.place(int32(i), &p.Analysed[i])
	}
	for _, i := range risingRows(p) {
		rising.place(i, &p.Analysed[i])
	}
	var out []slab
	for _, axis := range casebook.Axes() {
		for course, stratum := range []results.CourseStratum{results.Initial, results.Refinement} {
			for sign, d := range []casebook.Direction{casebook.NoDirection, casebook.DirectionOf(axis, 1), casebook.DirectionOf(axis, -1)} {
				for style, rows := range lists[axis][course][sign] {
					if len(rows) > 0 {
						out = append(out, slab{results.By{Axis: axis, Direction: d, Style: casebook.Style(style), Course: stratum}, rows, rising[axis][course][sign][style]})
					}
				}
			}
		}
	}
	return out
}

// Expression computes every non-empty cell of the grid. Slabs are independent,
// so they are shared out over the processors and put back in order: the same
// bytes on any number of cores. BenchmarkExpression holds the gain.
func Expression(ctx context.Context, p *rows.Set) ([]results.Cell, error) {
	slabs, ends := slabs(p), ends(p)
	cells := make([][]results.Cell, len(slabs))
	err := parallel.Do(ctx, len(slabs), func() func(int) {
		var scratch [places]columns
		return func(i int) { cells[i] = slabCells(p, &slabs[i], ends, &scratch) }
	})
	return slices.Concat(cells...), err
}

func slabCells(p *rows.Set, s *slab, ends []end, scratch *[places]columns) []results.Cell {
	for i := range scratch {
		scratch[i].reset()
	}
	for _, i := range s.rows {
		r := &p.Analysed[i]
		for _, place := range placesOf(r) {
			scratch[place].add(r, ends[i])
		}
	}
	for _, i := range s.rising {
		r := &p.Analysed[i]
		v := r.Expression()
		for _, place := range placesOf(r) {
			scratch[place].rising = append(scratch[place].rising, v)
		}
	}
	var out []results.Cell
	for _, place := range printOrder {
		if len(scratch[place].cluster) == 0 {
			continue
		}
		by := placeBy(place)
		by.Axis, by.Direction, by.Style, by.Course = s.by.Axis, s.by.Direction, s.by.Style, s.by.Course
		out = append(out, newCell(by, &scratch[place], &p.Settings))
	}
	if s.by.Style == casebook.NoStyle {
		poolTeeth(out, scratch)
	}
	return out
}

// Listed leaves out single teeth under one style that have too few cases for
// an interval: they are two cells in five and carry no evidence that their tooth
// class under that style does not. Withheld ones go with them. It comes last,
// so that nothing kept back rests on what is listed.
func Listed(cells []results.Cell, least int) []results.Cell {
	return slices.DeleteFunc(cells, func(c results.Cell) bool {
		return c.By.Tooth != 0 && c.By.Style != casebook.NoStyle && c.Cases < least
	})
}
