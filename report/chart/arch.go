package chart

import (
	"math"
)

// Arch is the teeth of both jaws in their place, facing the patient: the
// patient's right on the left, upper teeth above. Teeth run from the upper right
// third molar to the upper left one, then from the lower right to the lower left.
type Arch struct {
	ID           string // of the number in the middle, where it is one to point at
	Title, Under string // in the middle, and below it
	Teeth        []ArchTooth
	// Kinds have the values where teeth share them: a list in the middle instead of
	// numbers in the teeth. Heads are those of its columns.
	Kinds []ArchKind
	Heads []string
}

// Arches are several arches on one scale, so many in a row.
type Arches struct {
	Title, Desc string
	Arches      []Arch
	Across      int
	Flat        bool   // wider than tall, where there is little height
	Side        bool   // the legend stands on the right instead of below
	Named       bool   // the title names teeth: these are dark, all others pale
	Reach       string // when a kind may be as low as those named, for the legend
	Thin        string // what a hollow tooth is, for the legend
	low         int    // levels of Tight
}

// archStep is a step of expression: its lower limit, its words, its colour. The
// darker, the more of the plan is missing; four greys apart also without hue.
type archStep struct {
	from   float64
	words  string
	colour Colour
}

var archSteps = []archStep{
	{math.Inf(-1), "under 35 %", Colour{0x1F, 0x5A, 0x56}},
	{0.35, "35 to 49", Colour{0x6D, 0xA1, 0x9B}},
	{0.50, "50 to 64", Colour{0xB7, 0xD3, 0xCF}},
	{0.65, "65 and over", Colour{0xEE, 0xF5, 0xF4}},
}

func stepOf(v float64) Colour {
	c := archSteps[0].colour
	for _, s := range archSteps {
		if math.Round(v*100) >= math.Round(s.from*100) { // as printed
			c = s.colour
		}
	}
	return c
}

const (
	archGapX  = 5.0
	archGapY  = 4.0
	toothDeep = 5.6 // from cheek to tongue, mm
	jawsApart = 8.8 // between the middles of the molars of both jaws
	toothPt   = 7.0 // lettering in a tooth, points
	leastPt   = 6.5 // in a narrow one, and at the teeth: nothing on paper is smaller
	keySize   = 3.6 // a key of the legend
	jawDown   = 2.6 // the name of the upper jaw below its front teeth
	jawUp     = 1.0 // that of the lower above its own
	thinRim   = 0.8 // the rim of a tooth whose value is uncertain: it is hollow, as the dots are
)

// Pens around a tooth; what is not shown differs from the palest step in grey too.
var (
	stepPen  = Pen{Colour: Muted, Width: 0.15}
	lowerPen = Pen{Colour: Ink, Width: 0.45, Dash: []float64{0.9, 0.6}}
	fewPen   = Pen{Colour: RuleGrey, Width: 0.15}
	nonePen  = Pen{Colour: RuleGrey, Width: 0.15, Dash: []float64{0.5, 0.6}}
)

// Fills where the title names teeth: what is named is darker than all else, whatever it
// came to.
var namedFill, nearFill, otherFill = Colour{0x2B, 0x2B, 0x2B}, Colour{0x96, 0x96, 0x96}, Colour{0xE4, 0xE4, 0xE4}

// fill of a tooth that has a value; nil leaves it empty.
func (as Arches) fill(t ArchTooth) *Colour {
	c := stepOf(t.Value)
	switch {
	case !as.Named:
	case t.Strong:
		c = namedFill
	case t.Lower:
		return nil
	case t.Near:
		c = nearFill
	default:
		c = otherFill
	}
	return &c
}

// Tight makes the arches flatter.
func (as Arches) Tight(level int) Drawing {
	as.low += level
	return as
}

// Draw draws the arches with their legend.
func (as Arches) Draw(w float64) *Figure {
	across, room := max(1, min(as.Across, len(as.Arches))), w
	if as.Side {
		room = w - sideW
	}
	each := (room - archGapX*float64(as.Across-1)) / float64(max(1, as.Across))
	third := hasThird(as.Arches)
	deep := as.deep()
	for _, a := range as.Arches {
		deep = math.Max(deep, a.leastDeep(each))
	}
	var rows []*Figure
	for i := 0; i < len(as.Arches); i += across {
		var row []*Figure
		for _, a := range as.Arches[i:min(i+across, len(as.Arches))] {
			row = append(row, a.draw(each, third, deep, as.fill))
		}
		rows = append(rows, Beside(archGapX, "", "", row...))
	}
	if as.Side {
		f := Stack(archGapY, as.Title, as.Desc, rows...)
		sideLegend(f, as.keys(), w-sideW+6, as.Named)
		f.W = w
		return f
	}
	f := Stack(archGapY, as.Title, as.Desc, append(rows, archLegend(as.keys(), w))...)
	f.W = w
	return f
}

// sideW is the room for a legend on the right.
const sideW = 34.0

// archKey is an entry of the legend: a small tooth and what it means.
type archKey struct {
	words string
	draw  func(*Figure, Box)
	rule  string // below the words on the right of a figure, where they need one
}

func keyTooth(fill *Colour, p Pen) func(*Figure, Box) {
	return func(f *Figure, b Box) { f.add(Rect{b, 0.9, fill, p}) }
}

// keys are the steps, then each way to draw a tooth that occurs.
func (as Arches) keys() (out []archKey) {
	shown := func(t ArchTooth) bool { return !t.Few && !t.none() }
	if as.Named {
		dark, grey, pale := namedFill, nearFill, otherFill
		out = append(out, archKey{words: "named above", draw: keyTooth(&dark, stepPen)})
		if as.any(func(t ArchTooth) bool { return shown(t) && t.Near }) {
			out = append(out, archKey{words: "may be as low", draw: keyTooth(&grey, stepPen), rule: as.Reach})
		}
		if as.any(func(t ArchTooth) bool { return shown(t) && !t.Strong && !t.Lower && !t.Near }) {
			out = append(out, archKey{words: "more achieved", draw: keyTooth(&pale, stepPen)})
		}
	}
	if as.any(func(t ArchTooth) bool { return shown(t) && t.Text != "" && t.Joined == "" }) {
		out = append(out, numberKey)
	}
	for _, s := range archSteps {
		if c := s.colour; !as.Named && as.any(func(t ArchTooth) bool { return shown(t) && stepOf(t.Value) == c }) {
			out = append(out, archKey{words: s.words, draw: keyTooth(&c, stepPen)})
		}
	}
	if as.any(func(t ArchTooth) bool { return shown(t) && t.Lower }) {
		out = append(out, archKey{words: "low, not named", draw: keyTooth(nil, lowerPen)})
	}
	if as.Thin != "" && as.any(func(t ArchTooth) bool { return t.Thin }) {
		out = append(out, archKey{words: as.Thin, draw: func(f *Figure, b Box) {
			c := archSteps[1].colour
			hollowBlock(f, b, &c, stepPen)
		}})
	}
	if as.any(func(t ArchTooth) bool { return t.Few }) {
		out = append(out, archKey{words: "too few to show", draw: func(f *Figure, b Box) {
			f.add(Rect{b, 0.9, nil, fewPen}, Hatch{b, 1, fewPen})
		}})
	}
	if as.any(ArchTooth.none) {
		out = append(out, archKey{words: "none planned", draw: keyTooth(nil, nonePen)})
	}
	return out
}

// hollowBlock draws a block that rests on too few cases for an interval.
func hollowBlock(f *Figure, b Box, c *Colour, p Pen) {
	rim := b.H / 4
	f.add(Rect{b, 0.4, c, p}, Rect{Box{b.X + rim, b.Y + rim, b.W - 2*rim, b.H - 2*rim}, 0, &Paper, Pen{}})
}

// numberKey tells the number in a tooth from that of the tooth beside it.
var numberKey = archKey{words: "in a tooth: %", draw: func(f *Figure, b Box) {
	f.add(Rect{b, 0.9, nil, stepPen}, Text{At: Point{b.X + b.W/2, b.Y + b.H - 1}, Text: "%", Anchor: Middle, Colour: Ink, Size: leastPt})
}}

// none is true where nothing was planned.
func (t ArchTooth) none() bool { return !t.Few && math.IsNaN(t.Value) }

// any is true where a tooth that is drawn is such.
func (as Arches) any(such func(ArchTooth) bool) bool {
	third := hasThird(as.Arches)
	for _, a := range as.Arches {
		for i, t := range a.Teeth {
			if (third || !isThird(i)) && such(t) {
				return true
			}
		}
	}
	return false
}

// sideLegend shows the keys one below the other.
func sideLegend(f *Figure, keys []archKey, x float64, named bool) {
	const step, ruleDown = RowHeight + 0.8, 3.2
	y := math.Max(0, f.H/2-step*float64(len(keys)+1)/2)
	if !named {
		f.ink(x, y+3, "% of planned", Start, false, Muted)
	}
	for _, k := range keys {
		y += step
		k.draw(f, Box{x, y, keySize, keySize})
		f.ink(x+keySize+1.4, y+3, k.words, Start, false, Muted)
		if k.rule != "" {
			y += ruleDown
			f.sized(x+keySize+1.4, y+3, k.rule, Start, false, Muted, leastPt)
		}
	}
}

// hasThird is true where a third molar has something to show.
func hasThird(as []Arch) bool {
	for _, a := range as {
		for i, t := range a.Teeth {
			if isThird(i) && !t.none() {
				return true
			}
		}
	}
	return false
}

// isThird is true for the place of a third molar.
func isThird(i int) bool { return i%16 == 0 || i%16 == 15 }

// deep is the depth of an arch as a share of half its width.
func (as Arches) deep() float64 {
	deep, least := 0.70, 0.56
	if as.Flat {
		deep, least = 0.58, 0.33
	}
	return math.Max(deep-0.06*float64(as.low), least)
}

func (a Arch) draw(w float64, third bool, deep float64, fill filler) *Figure {
	f := &Figure{Title: a.Title, W: w}
	rx := (w - toothDeep) / 2
	ry := deep * rx
	f.H = 2*(ry+toothDeep/2) + jawsApart
	c := Point{w / 2, ry + toothDeep/2}
	a.jaw(f, 0, third, c, newHalfEllipse(rx, -ry), fill)
	c.Y += jawsApart
	a.jaw(f, 1, third, c, newHalfEllipse(rx, ry), fill)
	mid := f.H / 2
	f.ink(0, mid+1.2, "R", Start, false, Muted)
	f.ink(w, mid+1.2, "L", End, false, Muted)
	if len(a.Kinds) > 0 { // else the numbers of the teeth say it
		f.sized(w/2, toothDeep+jawDown, "upper", Middle, false, Muted, leastPt)
		f.sized(w/2, f.H-toothDeep-jawUp, "lower", Middle, false, Muted, leastPt)
	}
	if len(a.Kinds) > 0 {
		mid -= a.listHeight()/2 - 1.1
	}
	middle := func(f *Figure) {
		f.text(w/2, mid, a.Title, Middle, true)
		if a.measured() { // it heads the list
			f.sized(measuresFrom(w/2), mid+measuresDown+2.4, a.Under, Start, false, Muted, measurePt)
		} else {
			f.ink(w/2, mid+RowHeight-0.4, a.Under, Middle, false, Muted)
		}
	}
	if a.ID == "" {
		middle(f)
	} else {
		f.key(a.ID, a.Title+": "+a.Under, middle)
	}
	if a.measured() {
		a.measures(f, w/2, mid+measuresDown, fill)
	} else {
		a.list(f, w/2, mid+RowHeight+0.4, fill)
	}
	return f
}

// archLegend shows the keys in one row, in more where it is narrow. The caption
// says what the steps are steps of.
func archLegend(keys []archKey, w float64) *Figure {
	f := &Figure{W: w, H: 5.2}
	const toWords, least = keySize + 1.2, 2.0
	taken := 0.0
	for _, k := range keys {
		taken += toWords + width(k.words, false)
	}
	gap := math.Max(least, math.Min(5, (w-taken)/float64(len(keys)-1)))
	x, y := 0.0, 0.0
	for _, k := range keys {
		if x+toWords+width(k.words, false) > w+0.01 {
			x, y = 0, y+RowHeight
		}
		k.draw(f, Box{x, y + 0.9, keySize, keySize})
		x += toWords
		x += f.ink(x, y+4, k.words, Start, false, Muted) + gap
	}
	f.H += y
	return f
}
