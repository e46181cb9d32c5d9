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
}

// kind is what a movement is counted by.
type kind struct {
	direction casebook.Direction
	style     casebook.Style
	tooth     casebook.Tooth
}

// movement is what cells need of a row: side by side, for each is read by a dozen slabs.
type movement struct {
	planned, achieved float64
	cluster           int32
	kind
	method casebook.Method
	end    end
}

// ratio is achieved over planned of a movement.
type ratio struct {
	value float64
	kind
}

// slab is the part of a block with one direction and style (zero: a margin); its movements
// fall into places.
type slab struct {
	*block
	direction casebook.Direction
	style     casebook.Style
	movements []movement // case by case
	rising    []ratio
}

// whole reads the movements of a block; sorted once here, no cell needs to sort its ratios
// for its quantiles. See BenchmarkRising.
func (b *block) whole(p *rows.Set, room *room) slab {
	room.movements, room.rising = slices.Grow(room.movements[:0], len(b.rows)), slices.Grow(room.rising[:0], len(b.rows))
	for _, i := range b.rows {
		r := &p.Analysed[i]
		k := kind{r.Direction, r.Style, r.Tooth}
		room.movements = append(room.movements, movement{r.Planned, r.Achieved, int32(r.Cluster), k, r.Method, endOf(r, &p.Settings)})
		room.rising = append(room.rising, ratio{r.Expression(), k})
	}
	slices.SortFunc(room.rising, func(a, b ratio) int { return cmp.Compare(a.value, b.value) })
	return slab{block: b, movements: room.movements, rising: room.rising}
}

// only is the part of a slab in one direction and of one style; zero: of any.
func (s slab) only(d casebook.Direction, style casebook.Style, room *room) slab {
	if d == casebook.NoDirection && style == casebook.NoStyle {
		return s
	}
	room.movements, room.rising = room.movements[:0], room.rising[:0]
	for i := range s.movements {
		if m := &s.movements[i]; m.is(d, style) {
			room.movements = append(room.movements, *m)
		}
	}
	for i := range s.rising {
		if r := &s.rising[i]; r.is(d, style) {
			room.rising = append(room.rising, *r)
		}
	}
	return slab{s.block, max(s.direction, d), max(s.style, style), room.movements, room.rising}
}

func (k *kind) is(d casebook.Direction, style casebook.Style) bool {
	return (d == casebook.NoDirection || d == k.direction) && (style == casebook.NoStyle || style == k.style)
}

// room is memory of the movements of a slab.
type room struct {
	movements []movement
	rising    []ratio
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

// Expression computes every non-empty cell of the grid. Blocks are independent,
// so they are shared out over the processors and put back in order: the same
// bytes on any number of cores. BenchmarkExpression sets sums of cases against lists of
// the rows of every cell.
func Expression(ctx context.Context, p *rows.Set) ([]results.Cell, error) {
	blocks := blocks(p)
	cells := make([][]results.Cell, len(blocks))
	err := parallel.Do(ctx, len(blocks), func() func(int) {
		var scratch scratch
		return func(i int) {
			eachSlab(p, &blocks[i], &scratch, func(s *slab) { cells[i] = slabCells(cells[i], p, s, &scratch) })
		}
	})
	return slices.Concat(cells...), err
}

// eachSlab visits the slabs of a block in print order.
func eachSlab(p *rows.Set, b *block, scratch *scratch, visit func(*slab)) {
	whole := b.whole(p, &scratch.whole)
	for _, d := range []casebook.Direction{casebook.NoDirection, casebook.DirectionOf(b.axis, 1), casebook.DirectionOf(b.axis, -1)} {
		part := whole.only(d, casebook.NoStyle, &scratch.direction)
		for style := range casebook.Style(casebook.StyleCount + 1) {
			s := part.only(casebook.NoDirection, style, &scratch.style)
			visit(&s)
		}
	}
}

// slabCells adds the cells of a slab to a list.
func slabCells(list []results.Cell, p *rows.Set, s *slab, scratch *scratch) []results.Cell {
	scratch.reset()
	for i := range s.movements {
		m := &s.movements[i]
		at := &toothPlaces[m.tooth]
		scratch.tallies[at[0]].add(m)
		for _, place := range at {
			scratch.tallies[place].count(m)
		}
	}
	scratch.margins()
	for i := range s.rising {
		r := &s.rising[i]
		for _, place := range &toothPlaces[r.tooth] {
			scratch.tallies[place].come(r.value)
		}
	}
	from := len(list)
	for _, place := range printOrder {
		if scratch.tallies[place].rows > 0 {
			misses := func(ratio float64) float64 { return s.misses(place, ratio) }
			list = append(list, scratch.cell(s.by(place), &scratch.tallies[place], misses, &p.Settings))
		}
	}
	if s.style == casebook.NoStyle {
		poolTeeth(list[from:], s)
	}
	return list
}

// misses is the sum of (achieved - ratio planned)^2 over the movements of a place.
func (s *slab) misses(place int, ratio float64) (sum float64) {
	for i := range s.movements {
		if m := &s.movements[i]; slices.Contains(toothPlaces[m.tooth][:], uint8(place)) {
			u := m.achieved - ratio*m.planned
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
