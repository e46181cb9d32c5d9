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
	Limits      string // of its interval, "(28 to 38)"
	Short       string // how much is missing, "9°"
	Near        bool   // may be as low as what the title means
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
	if a.measured() {
		return float64(n+1)*measureRow + 1
	}
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
	measurePt     = 7.4
	measureRow    = 2.95
	measureName   = 14.5 // room for a name
	measureValue  = 4.5
	measureLimits = 15.0
	measureShort  = 11.0
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
	f.sized(short, y+2.4, "short", End, false, Muted, measurePt)
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
	f.add(Rect{b, 0.4, colour, line})
	if v.Few {
		f.add(Hatch{b, 0.8, fewPen})
	}
}
