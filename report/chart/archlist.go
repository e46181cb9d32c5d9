package chart

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
	Few         bool
	Strong      bool // meant by the title
	Lower       bool // as low as what the title means
}

const (
	listPt    = 7.4 // lettering of the list, points
	listRow   = 3.25
	listKey   = 2.4  // of the small block before a name
	listName  = 14.0 // room for a name
	listValue = 10.5 // for a value
)

func (a Arch) listHeight() float64 {
	n := len(a.Kinds)
	if a.headed() {
		n++
	}
	return RowHeight + float64(n)*listRow
}

// headed is true of a list whose columns need heads: the jaws.
func (a Arch) headed() bool { return len(a.Heads) > 0 }

// list writes the kinds below each other about x: a block that looks as their teeth do,
// the name, the values, and of how many cases.
func (a Arch) list(f *Figure, x, y float64, fill filler) {
	if len(a.Kinds) == 0 {
		return
	}
	left := x - (listName+2*listValue)/2 + listKey/2 + 1
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

// listBlock ties a line of the list to the teeth that are drawn alike.
func (f *Figure) listBlock(v KindValue, x, y float64, fill filler) {
	colour, line := looks(ArchTooth{Value: v.Value, Few: v.Few, Strong: v.Strong, Lower: v.Lower}, fill)
	b := Box{x, y + 0.3, listKey, listKey}
	f.add(Rect{b, 0.4, colour, line})
	if v.Few {
		f.add(Hatch{b, 0.8, fewPen})
	}
}
