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
// -1 stands for a rune the face has no glyph for.
type face struct {
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
	f.mu.Lock()
	defer f.mu.Unlock()
	if a, ok := f.advances[r]; ok {
		return a
	}
	a := -1
	if g, err := f.font.GlyphIndex(&f.buf, r); err == nil && g != 0 {
		if w, err := f.font.GlyphAdvance(&f.buf, g, fixed.I(1000), font.HintingNone); err == nil {
			a = w.Round()
		}
	}
	f.advances[r] = a
	return a
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
