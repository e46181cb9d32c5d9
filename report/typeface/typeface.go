// Package typeface is the one type family of every printed page: DejaVu Sans
// Condensed, regular and bold, with the measures and the coverage a layout
// needs.
//
// Place in the pipeline: report/chart and report/paper measure and draw their
// text with it; it imports nothing of the project. The family was chosen for
// its coverage (Greek, accented Latin, superior figures, ≥ ± − °) and because
// all its figures are equally wide, so columns of numbers align.
package typeface

import (
	"fmt"
	"sync"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Family is the name of the type family.
const Family = "DejaVu Sans Condensed"

// MMPerPoint is the size of a typographic point in millimetres: 25.4/72.
const MMPerPoint = 25.4 / 72

// Ascent and Descent are the height above and the depth below the baseline
// that a line of text needs, as a share of its size. Measured on the family's
// capitals with an accent (Ά) and its descenders (ç).
const (
	Ascent  = 0.93
	Descent = 0.24
)

// TTF gives the font file of a weight.
func TTF(bold bool) []byte {
	if bold {
		return dejavusanscondensedbold.TTF
	}
	return dejavusanscondensed.TTF
}

// face caches the advance of every rune asked for, in thousandths of the size;
// -1 stands for a rune the face has no glyph for. Latin letters, of which nearly
// all text is made, are looked up beforehand and take no lock.
type face struct {
	latin    [0x250]int
	mu       sync.Mutex
	font     *sfnt.Font
	buf      sfnt.Buffer
	advances map[rune]int
}

var faces = sync.OnceValue(func() [2]*face {
	var out [2]*face
	for i := range out {
		f, err := sfnt.Parse(TTF(i == 1))
		if err != nil {
			panic(fmt.Sprintf("typeface: the embedded font does not parse: %v", err))
		}
		out[i] = &face{font: f, advances: map[rune]int{}}
		for r := range out[i].latin {
			out[i].latin[r] = out[i].measure(rune(r))
		}
	}
	return out
})

func faceOf(bold bool) *face {
	if bold {
		return faces()[1]
	}
	return faces()[0]
}

func (f *face) advance(r rune) int {
	if r >= 0 && int(r) < len(f.latin) {
		return f.latin[r]
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	a, ok := f.advances[r]
	if !ok {
		a = f.measure(r)
		f.advances[r] = a
	}
	return a
}

// measure asks the font itself; nobody else may use its buffer meanwhile.
func (f *face) measure(r rune) int {
	g, err := f.font.GlyphIndex(&f.buf, r)
	if err != nil || g == 0 {
		return -1
	}
	w, err := f.font.GlyphAdvance(&f.buf, g, fixed.I(1000), font.HintingNone)
	if err != nil {
		return -1
	}
	return w.Round()
}

// Has reports whether the weight can print the rune.
func Has(r rune, bold bool) bool { return faceOf(bold).advance(r) >= 0 }

// Width of a line of text in millimetres; size in points.
func Width(s string, size float64, bold bool) float64 {
	f, sum := faceOf(bold), 0
	for _, r := range s {
		if a := f.advance(r); a > 0 {
			sum += a
		}
	}
	return float64(sum) / 1000 * size * MMPerPoint
}
