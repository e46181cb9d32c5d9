package chart

import (
	"math"
	"slices"
)

// ArchKind is a kind of tooth of an arch with its value in each jaw, or in both.
type ArchKind struct {
	Name   string
	Values []KindValue
}

// KindValue is one value that teeth share, already worded.
type KindValue struct {
	ID, Title   string // stable, "kind rotation molar"; in words
	Value       float64
	Text, Cases string
	Limits      string // of its interval, "(28 to 38)"
	Short       string // how much is missing, "9°"
	Near        bool   // may be as low as what the title means
	Few         bool
	Thin        bool // too few cases for an interval
	Strong      bool // meant by the title
	Lower       bool // as low as what the title means
}

const (
	listPt    = 8.0 // lettering of the list, points: the least on page one
	listRow   = 3.4
	listKey   = 2.6  // of the small block before a name
	listName  = 14.0 // room for a name
	listValue = 10.6 // for a value
)

func (a Arch) listHeight() float64 {
	n := len(a.Kinds)
	if a.measured() {
		return float64(n+1)*measureRow + 1
	}
	if a.headed() {
		n++
	}
	return RowHeight + float64(n)*listRow
}

// leastDeep is the depth of an arch of width w, as a share of half of it, that leaves the
// list in its middle clear of the teeth: the lower corners of the list lie inside them.
func (a Arch) leastDeep(w float64) float64 {
	if len(a.Kinds) == 0 {
		return 0
	}
	rx := (w - toothDeep) / 2
	half, bottom := (listName+2*listValue)/2, 0.4+a.listHeight()
	if a.measured() {
		half, bottom = (measureName+measureValue+measureLimits+measureShort+listKey+1)/2, measuresDown+a.listHeight()-1
	} else if !a.headed() {
		half += listKey/2 + 1
	}
	bottom -= a.listHeight()/2 - 1.1 + descent // below the middle of the arch
	across := math.Min(half/(rx-toothDeep/2), 0.98)
	return (toothDeep/2 + (bottom-jawsApart/2)/math.Sqrt(1-across*across)) / rx
}

// descent is the part of a row of a list below its letters.
const descent = 0.7

// headed is true of a list whose columns need heads: the jaws.
func (a Arch) headed() bool { return len(a.Heads) > 0 }

// list writes the kinds below each other about x: a block that looks as their teeth do,
// the name, the values, and of how many cases.
func (a Arch) list(f *Figure, x, y float64, fill filler) {
	if len(a.Kinds) == 0 {
		return
	}
	left := x - (listName+2*listValue)/2
	if !a.headed() {
		left += listKey/2 + 1 // before it stand the blocks
	}
	end := func(i int) float64 { return left + listName + listValue*float64(i+1) }
	for i, h := range a.Heads {
		f.sized(end(i), y+2.4, h, End, false, Muted, listPt)
	}
	if a.headed() {
		y += listRow
	}
	for _, k := range a.Kinds {
		one := len(k.Values) == 1
		for i, v := range k.Values {
			f.maybeKey(v.ID, v.Title, func(f *Figure) {
				ink := Muted
				if v.Strong {
					ink = Ink
				}
				if i == 0 {
					f.sized(left, y+2.4, k.Name, Start, v.Strong, ink, listPt)
				}
				if one {
					f.listBlock(v, left-listKey-1, y, fill)
					f.sized(end(0)+2, y+2.4, v.Cases, Start, false, Muted, listPt)
				}
				f.sized(end(i), y+2.4, v.Text, End, v.Strong, ink, listPt)
			})
		}
		y += listRow
	}
}

// measured is true of a list of one value a kind with its limits and what is missing.
func (a Arch) measured() bool {
	for _, k := range a.Kinds {
		if len(k.Values) != 1 {
			return false
		}
		if k.Values[0].Limits != "" {
			return true
		}
	}
	return false
}

const (
	measurePt     = listPt
	measureRow    = 3.2
	measureName   = 15.6 // room for a name
	measureValue  = 4.2
	measureLimits = 14.6
	measureShort  = 11.6
	measuresDown  = 1.3 // from the line of the title
)

// measuresFrom is where the names of the list about x begin.
func measuresFrom(x float64) float64 {
	return x - (measureName+measureValue+measureLimits+measureShort-listKey-1)/2
}

// measures writes under the number of all teeth for each kind the value, its limits, and how much is missing.
func (a Arch) measures(f *Figure, x, y float64, fill filler) {
	left := measuresFrom(x)
	value := left + measureName + measureValue
	short := value + measureLimits + measureShort
	if slices.ContainsFunc(a.Kinds, func(k ArchKind) bool { return k.Values[0].Short != "" }) {
		f.sized(short, y+2.4, "short", End, false, Muted, measurePt)
	}
	y += measureRow
	for _, k := range a.Kinds {
		v := k.Values[0]
		f.maybeKey(v.ID, v.Title, func(f *Figure) {
			ink := Muted
			if v.Strong {
				ink = Ink
			}
			f.listBlock(v, left-listKey-1, y, fill)
			f.sized(left, y+2.4, k.Name, Start, v.Strong, ink, measurePt)
			f.sized(value, y+2.4, v.Text, End, v.Strong, ink, measurePt)
			f.sized(value+1, y+2.4, v.Limits, Start, false, ink, measurePt)
			f.sized(short, y+2.4, v.Short, End, false, Muted, measurePt)
		})
		y += measureRow
	}
}

// listBlock ties a line of the list to the teeth that are drawn alike.
func (f *Figure) listBlock(v KindValue, x, y float64, fill filler) {
	colour, line := looks(ArchTooth{Value: v.Value, Few: v.Few, Strong: v.Strong, Lower: v.Lower, Near: v.Near}, fill)
	b := Box{x, y + 0.3, listKey, listKey}
	if v.Thin {
		hollowBlock(f, b, colour, line)
		return
	}
	f.add(Rect{b, 0.4, colour, line})
	if v.Few {
		f.add(Hatch{b, 0.8, fewPen})
	}
}
