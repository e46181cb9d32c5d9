package grid

import (
	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// ShownCells names the expression cells that are not withheld.
func ShownCells(cells []results.Cell) map[results.By]bool {
	shown := make(map[results.By]bool, len(cells))
	for i := range cells {
		shown[cells[i].By] = !cells[i].Suppressed
	}
	return shown
}

// Withhold treats each axis and course stratum as one set of tables.
func Withhold(p *rows.Set, cells []results.Cell) {
	for from := 0; from < len(cells); {
		to := from
		for to < len(cells) && cells[to].By.Axis == cells[from].By.Axis && cells[to].By.Course == cells[from].By.Course {
			to++
		}
		group := cells[from:to]
		t := expressionTables(p, group)
		hide := t.Hidden(p.Settings.MinCellCases)
		withholdShares(p, group, t, hide)
		for i := range group {
			if hide[i] {
				group[i] = withheldCell(&group[i], &p.Settings)
			} else if group[i].Cases < disclose.FewestForOrder {
				withoutOrder(&group[i])
			}
		}
		from = to
	}
}

// withoutOrder takes out of a cell of few cases what tells single movements.
func withoutOrder(c *results.Cell) {
	n := results.NotEstimable
	c.MedianRatio, c.LowerQuartile, c.UpperQuartile = n, n, n
	c.PlannedTotal, c.AchievedTotal, c.Slope = n, n, n
}

func withheldCell(c *results.Cell, s *results.Settings) results.Cell {
	n := results.NotEstimable
	return results.Cell{
		By: c.By, Unit: c.Unit, PlannedTotal: n, AchievedTotal: n, Estimate: n, Low: n, High: n, SE: n, DF: n,
		DesignEffect: n, OutsideTolerance: measure.NoShare(), SmallPlans: n, SmallOutside: n, MedianRatio: n, LowerQuartile: n, UpperQuartile: n,
		MeanAbsError: n, MeanDifference: measure.NoSpread(), AveragePatient: measure.NoSpread(), MeanShortfall: n, PercentF2: n, Slope: n, Pooled: n,
		Suppressed: true, Warnings: []results.Warning{disclose.TooFewShown(s)},
	}
}

// gridKey is a cell of one axis and stratum: direction sign (0: both), style
// (0: all; unrecorded) and place.
type gridKey struct{ sign, style, place int }

// unrecorded comes after the styles.
const unrecorded = casebook.StyleCount + 1

// expressionTables lists the parts of each cell, and the cells of movements
// without a recorded style behind them, which nobody prints.
func expressionTables(p *rows.Set, cells []results.Cell) *disclose.Tables {
	t := &disclose.Tables{}
	index := map[gridKey]int{}
	add := func(k gridKey, cases int, mute bool) {
		index[k] = len(t.Cases)
		t.Cases, t.Mute, t.Parts = append(t.Cases, cases), append(t.Mute, mute), append(t.Parts, nil)
	}
	for i := range cells {
		add(keyOf(cells[i].By), cells[i].Cases, false)
	}
	type base struct {
		sign, style int
		tooth       casebook.Tooth
	}
	parts := map[base]int32{}
	counters := map[gridKey]*rows.CaseCounter{}
	var order []gridKey
	for i := range p.Analysed {
		r := &p.Analysed[i]
		if r.Axis != cells[0].By.Axis || r.Stratum() != cells[0].By.Course {
			continue
		}
		sign, style := signIndex(r.Direction), styleIndex(r.Style)
		b := base{sign, style, r.Tooth}
		id, seen := parts[b]
		if !seen {
			id = int32(len(parts))
			parts[b] = id
		}
		for _, sg := range [2]int{0, sign} {
			for _, place := range &toothPlaces[r.Tooth] {
				place := int(place)
				if style == unrecorded {
					k := gridKey{sg, unrecorded, place}
					if counters[k] == nil {
						counters[k] = &rows.CaseCounter{}
						order = append(order, k)
						add(k, 0, true)
					}
					counters[k].Add(r.Cluster)
				}
				if !seen {
					for _, st := range [2]int{0, style} {
						at := index[gridKey{sg, st, place}]
						t.Parts[at] = append(t.Parts[at], id)
					}
				}
			}
		}
	}
	for _, k := range order {
		t.Cases[index[k]] = counters[k].N
	}
	t.Lines = gridLines(index)
	t.First = compared(p, cells)
	return t
}

// compared are the arms of the comparisons over all teeth that enough patients carry. They
// are the answer of the audit: where one of a line must be hidden with a small cell, it is
// better a sum of directions or styles. Of a direction that cannot be compared the sum says
// more.
func compared(p *rows.Set, cells []results.Cell) (first []int) {
	const software, clinician = 1 << casebook.SoftwareSuggested, 1 << casebook.ClinicianDesigned
	carried := make([][3]uint8, len(p.Cases)) // styles by case and direction
	for i := range p.Analysed {
		if r := &p.Analysed[i]; r.Axis == cells[0].By.Axis && r.Stratum() == cells[0].By.Course {
			carried[r.Cluster][signIndex(r.Direction)] |= 1 << r.Style
		}
	}
	var both [3]int
	for _, of := range carried {
		for sign, styles := range of {
			if styles&software != 0 && styles&clinician != 0 {
				both[sign]++
			}
		}
	}
	for i := range cells {
		by := cells[i].By
		attached := by.Style == casebook.SoftwareSuggested || by.Style == casebook.ClinicianDesigned
		whole := by == results.By{Axis: by.Axis, Direction: by.Direction, Course: by.Course, Style: by.Style}
		if sign := signIndex(by.Direction); attached && whole && sign != 0 && both[sign] >= p.Settings.MinBothCases {
			first = append(first, i)
		}
	}
	return first
}

func keyOf(b results.By) gridKey {
	k := gridKey{signIndex(b.Direction), int(b.Style), allTeethPlace}
	class, arch := int(b.ToothClass)-1, int(b.Arch)-1
	switch {
	case b.Tooth != 0:
		k.place = int(toothPlaces[b.Tooth][0])
	case class >= 0 && arch >= 0:
		k.place = firstClassArch + casebook.ArchCount*class + arch
	case class >= 0:
		k.place = firstClass + class
	case arch >= 0:
		k.place = firstArch + arch
	}
	return k
}

func signIndex(d casebook.Direction) int {
	switch s := d.Sign(); {
	case s > 0:
		return 1
	case s < 0:
		return 2
	}
	return 0
}

func styleIndex(s casebook.Style) int {
	if s == casebook.NoStyle {
		return unrecorded
	}
	return int(s)
}

// gridLines are the sums of the grid: over directions, styles and places.
func gridLines(index map[gridKey]int) [][]int {
	var lines [][]int
	line := func(parent gridKey, children ...gridKey) {
		at, ok := index[parent]
		if !ok {
			return
		}
		l := []int{at}
		for _, c := range children {
			if i, ok := index[c]; ok {
				l = append(l, i)
			}
		}
		lines = append(lines, l)
	}
	for place := range places {
		for style := range unrecorded + 1 {
			line(gridKey{0, style, place}, gridKey{1, style, place}, gridKey{2, style, place})
		}
		for sign := range 3 {
			var styles []gridKey
			for style := 1; style <= unrecorded; style++ {
				styles = append(styles, gridKey{sign, style, place})
			}
			line(gridKey{sign, 0, place}, styles...)
		}
	}
	for sign := range 3 {
		for style := range unrecorded + 1 {
			for parent, sets := range placeSums {
				for _, set := range sets {
					var children []gridKey
					for _, c := range set {
						children = append(children, gridKey{sign, style, c})
					}
					line(gridKey{sign, style, parent}, children...)
				}
			}
		}
	}
	return lines
}

// placeSums says which places add up to which: all teeth are the two arches
// and the four classes; an arch, a class and a class in an arch are their parts.
var placeSums = func() (sums [places][][]int) {
	add := func(parent int, holds func(results.By) bool, from, to int) {
		var set []int
		for i := from; i < to; i++ {
			if holds(placeBy(i)) {
				set = append(set, i)
			}
		}
		sums[parent] = append(sums[parent], set)
	}
	all := func(results.By) bool { return true }
	add(allTeethPlace, all, firstArch, allTeethPlace)
	add(allTeethPlace, all, firstClass, firstClassArch)
	for i := firstArch; i < allTeethPlace; i++ {
		add(i, func(b results.By) bool { return b.Arch == placeBy(i).Arch }, firstClassArch, firstArch)
	}
	for i := firstClass; i < firstClassArch; i++ {
		add(i, func(b results.By) bool { return b.ToothClass == placeBy(i).ToothClass }, firstClassArch, firstArch)
	}
	for i := firstClassArch; i < firstArch; i++ {
		in := placeBy(i)
		add(i, func(b results.By) bool { return b.Tooth.Class() == in.ToothClass && b.Tooth.Arch() == in.Arch }, 0, firstClass)
	}
	return sums
}()
