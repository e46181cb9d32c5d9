package report_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/report/typeface"
)

func TestFiguresAreEquallyWide(t *testing.T) {
	for _, bold := range []bool{false, true} {
		want := typeface.Width("0", 9, bold)
		assert.Positive(t, want)
		for _, d := range "123456789" {
			assert.InDelta(t, want, typeface.Width(string(d), 9, bold), 1e-9, "figure %c", d)
		}
	}
}

func TestWidthScalesAndAdds(t *testing.T) {
	assert.InDelta(t, 2*typeface.Width("Ορθοδοντική", 9, false), typeface.Width("Ορθοδοντική", 18, false), 1e-9)
	assert.InDelta(t, typeface.Width("ab", 9, false)+typeface.Width("cd", 9, false), typeface.Width("abcd", 9, false), 1e-9)
	// DejaVu Sans Condensed digit: 573 of 1000 units (hmtx table of the font,
	// printed by `ttx -t hmtx`, fonttools); 0.573 * 9 pt * 0.3528 mm.
	assert.InDelta(t, 0.573*9*25.4/72, typeface.Width("0", 9, false), 0.005)
}

func TestCoverage(t *testing.T) {
	for _, r := range "αβγδεζηθικλμνξοπρστυφχψωΆΈΉΊΌΎΏéüøñçłŞ≥≤±−°·–—’“”×✓⁰¹²³⁴⁵⁶⁷⁸⁹\u2009\u00a0" {
		assert.True(t, typeface.Has(r, false) && typeface.Has(r, true), "U+%04X", r)
	}
	assert.False(t, typeface.Has('漢', false))
}

func TestClean(t *testing.T) {
	for _, c := range []struct {
		name, in, want string
		lost           int
	}{
		{"plain", "Premolar 52 %", "Premolar 52 %", 0},
		{"composes", "e\u0301", "é", 0},
		{"white space", "a\tb\nc", "a b c", 0},
		{"beyond U+FFFF", "a😀b", "a\uFFFDb", 1},
		{"no glyph", "漢字", "\uFFFD\uFFFD", 2},
		{"controls and direction marks", "a\x00\u202eb\u200d", "ab", 3},
		{"invalid UTF-8", "a\xffb", "a\uFFFDb", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, lost := typeface.Clean(c.in)
			assert.Equal(t, c.want, got)
			assert.Equal(t, c.lost, lost)
			again, more := typeface.Clean(got)
			assert.Equal(t, got, again, "cleaning twice changes nothing")
			assert.Zero(t, more)
		})
	}
}

// Printable ASCII is left as it is without a look at each letter: all of it has a glyph.
func TestPlainTextsHaveGlyphs(t *testing.T) {
	for r := ' '; r <= '~'; r++ {
		assert.True(t, typeface.Has(r, false) && typeface.Has(r, true), "U+%04X", r)
	}
}

func BenchmarkClean(b *testing.B) {
	for name, s := range map[string]string{"plain": "Premolar rotation fell furthest short", "other": "Premolar rotation: 52 % (44 to 60)\u2009°"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				typeface.Clean(s)
			}
		})
	}
}
