package chart

// FlowBox is one step of the flow: what is counted there and what leaves.
type FlowBox struct {
	Title string
	Count string
	Out   []string // reasons with counts, one a line
}

// Flow is read downwards; what leaves a step stands to its right.
type Flow struct {
	Title string
	Boxes []FlowBox
	Width float64
}

const (
	flowSide = 84.0 // where the reasons start, mm
	flowGap  = 4.6  // between steps, mm
	flowLine = 4.0  // the line of the flow, mm from the left
)

func (b FlowBox) lines(w float64) (title []string, out []string) {
	title = wrapWords(b.Title, flowSide-flowLine-14, false)
	for _, o := range b.Out {
		out = append(out, wrapWords(o, w-flowSide, false)...)
	}
	return title, out
}

// Height of a step in mm.
func (b FlowBox) height(w float64) float64 {
	title, out := b.lines(w)
	return float64(max(len(title)+1, len(out)))*RowHeight + flowGap
}

// Figure draws the flow.
func (fl Flow) Figure(desc string) *Figure {
	f := &Figure{Title: fl.Title, Desc: desc, W: fl.Width}
	y := 0.0
	pen := Pen{Colour: Grey, Width: 0.3}
	dot := Ink
	for i, b := range fl.Boxes {
		title, out := b.lines(fl.Width)
		h := b.height(fl.Width)
		f.add(Circle{Point{flowLine, y + 2.3}, 1.1, &dot, Pen{}})
		f.text(flowLine+5, y+3.4, b.Count, Start, true)
		for k, line := range title {
			f.text(flowLine+5, y+3.4+float64(k+1)*RowHeight, line, Start, false)
		}
		if len(out) > 0 {
			f.line(flowSide-12, y+2.3, flowSide-3.2, y+2.3, pen)
			f.arrow(flowSide-2, y+2.3, 1, pen)
		}
		for k, line := range out {
			f.ink(flowSide, y+3.4+float64(k)*RowHeight, line, Start, false, Muted)
		}
		if i < len(fl.Boxes)-1 {
			f.line(flowLine, y+4.6, flowLine, y+h-1.6, pen)
			f.down(flowLine, y+h-0.4, pen)
			y += h
		} else {
			y += h - flowGap
		}
	}
	f.H = y
	return f
}

// down draws an arrow head pointing down with its tip at y.
func (f *Figure) down(x, y float64, p Pen) {
	c := p.Colour
	f.add(Polygon{[]Point{{x, y + 0.2}, {x - 0.8, y - 1.4}, {x + 0.8, y - 1.4}}, &c, Pen{}})
}
