package chart

// Segment is a piece of a whole, already worded.
type Segment struct {
	ID, Title string
	N         int
	Label     string // "51 one"
	Few       bool   // its number is not shown
}

// Segments is one bar cut into pieces in their order, from light to dark grey.
type Segments struct {
	Title, Desc string
	Parts       []Segment
}

var segmentGreys = []Colour{{0xE4, 0xE4, 0xE4}, {0xBD, 0xBD, 0xBD}, {0x8C, 0x8C, 0x8C}, {0x5C, 0x5C, 0x5C}, {0x33, 0x33, 0x33}}

const segmentH = 6.2

// swatch in mm before a label below the bar shows the grey of its segment.
const swatch = 3.0

// Draw draws the bar. A label that is wider than its piece stands below it.
func (s Segments) Draw(w float64) *Figure {
	f := &Figure{Title: s.Title, Desc: s.Desc, W: w, H: segmentH}
	total := 0
	for _, p := range s.Parts {
		total += p.N
	}
	if total == 0 {
		return f
	}
	type narrow struct {
		Segment
		x    float64
		grey Colour
	}
	x := 0.0
	var below []narrow
	for i, p := range s.Parts {
		pw := w * float64(p.N) / float64(total)
		if p.N == 0 {
			continue
		}
		c := segmentGreys[min(i, len(segmentGreys)-1)]
		f.key(p.ID, p.Title, func(f *Figure) {
			f.add(Rect{Box{x, 0, pw, segmentH}, 0, &c, Pen{Colour: Paper, Width: 0.3}})
			if width(p.Label, true)+3 <= pw {
				f.ink(x+1.8, 4.3, p.Label, Start, true, On(c))
				return
			}
			below = append(below, narrow{p, x, c})
		})
		x += pw
	}
	end := w
	for i := len(below) - 1; i >= 0; i-- { // from the right, so that none leaves the page
		p := below[i]
		at := min(p.x, end-width(p.Label, false)-swatch-1)
		end = at - 3
		f.key(p.ID, p.Title, func(f *Figure) {
			f.add(Rect{Box{at, segmentH + 1.6, swatch, swatch}, 0, &p.grey, Pen{}})
			f.ink(at+swatch+1, segmentH+4.4, p.Label, Start, false, Ink)
		})
		f.H = segmentH + RowHeight
	}
	return f
}
