package chart

import "math"

// crownWidths are the mesiodistal crown widths in mm, from the midline out, of
// the upper and the lower teeth: Nelson & Ash, Wheeler's Dental Anatomy,
// Physiology and Occlusion, 9th ed. 2010, measurement tables of the permanent
// teeth (from memory). They set the relative width of the cells, nothing else.
var crownWidths = [2][8]float64{
	{8.5, 6.5, 7.5, 7.0, 7.0, 10.0, 9.0, 8.5},
	{5.0, 5.5, 7.0, 7.0, 7.0, 11.0, 10.5, 10.0},
}

// ToothValue is one stratum of one tooth, already worded.
type ToothValue struct {
	N     string  // cases; "0" where nothing was planned
	Value float64 // expression, for the colour; NaN where there is none to show
	Text  string  // the same as printed
	Few   bool    // too few to show: hatched
	Marks string  // footnote marks
}

// ToothCell is one tooth of the chart.
type ToothCell struct {
	Label string // in the reader's notation
	Rows  []ToothValue
}

// Dental is a chart of 32 teeth as seen facing the patient: the patient's right
// on the left of the page; Teeth run from the upper right third molar to the
// upper left one, then from the lower right to the lower left.
type Dental struct {
	Title string
	Rows  []string // names of the strata
	Teeth []ToothCell
	Width float64
}

const (
	dentalLeft = 21.0 // row names
	cellH      = 4.6
	countH     = 4.0 // the line of cases below a cell
	cellGap    = 0.5
)

// Figure draws the chart. Marks that do not fit their tooth are listed below it.
func (d Dental) Figure(desc string) *Figure {
	f := &Figure{Title: d.Title, Desc: desc, W: d.Width}
	f.text(0, 3.4, d.Title, Start, true)
	y := 1.25 * RowHeight
	top := y
	var over []string
	for arch := range 2 {
		name := [2]string{"upper", "lower"}[arch]
		over = append(over, d.arch(f, arch, name, y)...)
		y += d.archHeight() + 1.5
	}
	mid := dentalLeft + (d.Width-dentalLeft)/2
	f.line(mid, top, mid, y-1.5, Pen{Colour: Muted, Width: 0.3, Dash: []float64{0.8, 0.8}})
	for _, s := range over {
		f.ink(dentalLeft, y+3.4, s, Start, false, Muted)
		y += RowHeight
	}
	f.H = y
	return f
}

func (d Dental) archHeight() float64 {
	return RowHeight + float64(len(d.Rows))*(cellH+countH)
}

// arch draws sixteen teeth and gives the marks that found no room, in lines.
func (d Dental) arch(f *Figure, arch int, name string, y float64) []string {
	total := 0.0
	for _, w := range crownWidths[arch] {
		total += 2 * w
	}
	scale := (d.Width - dentalLeft) / total
	f.ink(0, y+3.2, name, Start, false, Muted)
	for i, r := range d.Rows {
		at := y + RowHeight + float64(i)*(cellH+countH)
		f.ink(0, at+3.5, r, Start, false, Muted)
		f.ink(0, at+cellH+3.1, "cases", Start, false, Muted)
	}
	x := dentalLeft
	var spill []string
	for i, t := range d.Teeth[16*arch : 16*arch+16] {
		pos := i - 8
		if i < 8 {
			pos = 7 - i
		}
		w := crownWidths[arch][pos] * scale
		f.ink(x+w/2, y+3.2, t.Label, Middle, false, Muted)
		for k, v := range t.Rows {
			at := y + RowHeight + float64(k)*(cellH+countH)
			if left := f.tooth(v, Box{x + cellGap/2, at, w - cellGap, cellH}); left != "" {
				spill = append(spill, t.Label+" "+d.Rows[k]+left)
			}
		}
		x += w
	}
	return wrapList("Notes for:", spill, d.Width-dentalLeft)
}

// tooth draws one cell with its n below and gives back marks that did not fit.
func (f *Figure) tooth(v ToothValue, b Box) string {
	mid := b.X + b.W/2
	outline := Pen{Colour: RuleGrey, Width: 0.15}
	switch {
	case v.Few:
		f.add(Rect{b, 0.8, nil, outline}, Hatch{Box{b.X + 0.3, b.Y + 0.3, b.W - 0.6, b.H - 0.6}, 0.9, Pen{Colour: RuleGrey, Width: 0.15}})
	case math.IsNaN(v.Value):
		f.add(Rect{b, 0.8, nil, Pen{Colour: PaleGrey, Width: 0.15}})
	default:
		c := Scale(v.Value)
		f.add(Rect{b, 0.8, &c, Pen{}})
		f.ink(mid, b.Y+3.5, v.Text, Middle, false, On(c))
	}
	n := v.N + v.Marks
	if width(n, false) > b.W {
		f.ink(mid, b.Y+cellH+3.1, v.N, Middle, false, Muted)
		return v.Marks
	}
	f.ink(mid, b.Y+cellH+3.1, n, Middle, false, Muted)
	return ""
}

// wrapList breaks a list into lines of a width, opened by a lead.
func wrapList(lead string, items []string, w float64) []string {
	var out []string
	line := lead
	for i, it := range items {
		if i < len(items)-1 {
			it += ";"
		}
		if line != lead && width(line+" "+it, false) > w {
			out, line = append(out, line), ""
		}
		if line != "" {
			line += " "
		}
		line += it
	}
	if len(items) == 0 {
		return nil
	}
	return append(out, line)
}

// DentalLegend explains the colours of the charts.
func DentalLegend(w float64) *Figure {
	f := &Figure{Title: "Legend of the dental charts", Desc: "Shades from light (0 %) to dark (100 %), hatched for too few cases to show, empty for nothing planned.", W: w, H: 1.5 * RowHeight}
	x := f.ink(0, 3.5, "expression, % of the plan", Start, false, Muted) + 3
	for _, v := range []float64{0, 0.2, 0.4, 0.6, 0.8, 1} {
		c := Scale(v)
		b := Box{x, 0.3, 9, cellH}
		f.add(Rect{b, 0.8, &c, Pen{}})
		f.ink(x+4.5, 3.8, percentLabel(v), Middle, false, On(c))
		x += 9.5
	}
	x += 4
	f.tooth(ToothValue{Few: true}, Box{x, 0.3, 9, cellH})
	x += 10.5
	x += f.ink(x, 3.8, "too few to show", Start, false, Muted) + 5
	f.tooth(ToothValue{Value: math.NaN()}, Box{x, 0.3, 9, cellH})
	f.ink(x+10.5, 3.8, "none planned", Start, false, Muted)
	return f
}
