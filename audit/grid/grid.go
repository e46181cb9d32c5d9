// Package grid computes the expression of every cell: axis, direction, tooth,
// class, arch, style and course, with all margins.
//
// Place in the pipeline: it reads a rows.Set and gives results.Cell values; the
// small-number rule of the grid, whose margins overlap, is here too.
package grid

import (
	"cmp"
	"context"
	"slices"

	"shortfall/audit/measure"
	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// block is the part of the analysed rows with one axis and course stratum.
type block struct {
	axis   casebook.Axis
	course results.CourseStratum
	rows   []int32 // indices into Set.Analysed
	rising []int32 // the same by rising achieved/planned
}

// slab is the part of a block with one direction and style (zero: a margin); its rows
// fall into places.
type slab struct {
	*block
	direction casebook.Direction
	style     casebook.Style
}

func (s *slab) holds(r *rows.Row) bool {
	return (s.direction == casebook.NoDirection || s.direction == r.Direction) && (s.style == casebook.NoStyle || s.style == r.Style)
}

func (s *slab) by(place int) results.By {
	by := placeBy(place)
	by.Axis, by.Direction, by.Style, by.Course = s.axis, s.direction, s.style, s.course
	return by
}

// The places of a slab: teeth, classes, classes in an arch, arches, all teeth.
const (
	firstClass     = casebook.ToothCount
	firstClassArch = firstClass + casebook.ToothClassCount
	firstArch      = firstClassArch + casebook.ToothClassCount*casebook.ArchCount
	allTeethPlace  = firstArch + casebook.ArchCount
	places         = allTeethPlace + 1
)

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

// blocks parts the analysed rows by axis and course, in print order; empty ones are
// left out.
func blocks(p *rows.Set) (out []block) {
	var of [casebook.AxisCount + 1][2][]int32
	for i := range p.Analysed {
		r := &p.Analysed[i]
		at := &of[r.Axis][measure.OneIf(!r.First)]
		*at = append(*at, int32(i))
	}
	for _, axis := range casebook.Axes() {
		for i, course := range []results.CourseStratum{results.Initial, results.Refinement} {
			if list := of[axis][i]; len(list) > 0 {
				out = append(out, block{axis: axis, course: course, rows: list})
			}
		}
	}
	return out
}

// sort lists the rows of a block by achieved/planned: sorted once here, no cell needs to
// sort for its quantiles. See BenchmarkRising.
func (b *block) sort(analysed []rows.Row) {
	type ratio struct {
		value float64
		row   int32
	}
	all := make([]ratio, len(b.rows))
	for k, i := range b.rows {
		all[k] = ratio{analysed[i].Expression(), i}
	}
	slices.SortFunc(all, func(a, b ratio) int { return cmp.Compare(a.value, b.value) })
	b.rising = make([]int32, len(all))
	for k := range all {
		b.rising[k] = all[k].row
	}
}

// Expression computes every non-empty cell of the grid. Blocks are independent,
// so they are shared out over the processors and put back in order: the same
// bytes on any number of cores. BenchmarkExpression sets sums of cases against lists of
// the rows of every cell.
func Expression(ctx context.Context, p *rows.Set) ([]results.Cell, error) {
	blocks, ends := blocks(p), ends(p)
	cells := make([][]results.Cell, len(blocks))
	err := parallel.Do(ctx, len(blocks), func() func(int) {
		var scratch scratch
		return func(i int) {
			blocks[i].sort(p.Analysed)
			for _, d := range []casebook.Direction{casebook.NoDirection, casebook.DirectionOf(blocks[i].axis, 1), casebook.DirectionOf(blocks[i].axis, -1)} {
				for style := range casebook.Style(casebook.StyleCount + 1) {
					cells[i] = slabCells(cells[i], p, &slab{&blocks[i], d, style}, ends, &scratch)
				}
			}
			blocks[i].rising = nil
		}
	})
	return slices.Concat(cells...), err
}

// slabCells adds the cells of a slab to a list.
func slabCells(list []results.Cell, p *rows.Set, s *slab, ends []end, scratch *scratch) []results.Cell {
	scratch.reset()
	for _, i := range s.rows {
		if r := &p.Analysed[i]; s.holds(r) {
			at := &toothPlaces[r.Tooth]
			scratch.tallies[at[0]].add(r, ends[i])
			for _, place := range at {
				scratch.tallies[place].count(r, ends[i])
			}
		}
	}
	scratch.margins()
	for _, i := range s.rising {
		if r := &p.Analysed[i]; s.holds(r) {
			v := r.Expression()
			for _, place := range &toothPlaces[r.Tooth] {
				scratch.tallies[place].come(v)
			}
		}
	}
	from := len(list)
	for _, place := range printOrder {
		if scratch.tallies[place].rows > 0 {
			misses := func(ratio float64) float64 { return s.misses(p.Analysed, place, ratio) }
			list = append(list, scratch.cell(s.by(place), &scratch.tallies[place], misses, &p.Settings))
		}
	}
	if s.style == casebook.NoStyle {
		poolTeeth(list[from:], p.Analysed, s)
	}
	return list
}

// misses is the sum of (achieved - ratio planned)^2 over the rows of a place.
func (s *slab) misses(analysed []rows.Row, place int, ratio float64) (sum float64) {
	for _, i := range s.rows {
		if r := &analysed[i]; s.holds(r) && slices.Contains(toothPlaces[r.Tooth][:], uint8(place)) {
			u := r.Achieved - ratio*r.Planned
			sum += u * u
		}
	}
	return sum
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
