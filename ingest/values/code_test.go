package values

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Forms in which one patient is written by several hands and programs. The
// compatibility forms are those of Unicode Standard Annex 15, table 1 and
// figure 6 (ligature, full width, circled, superscript).
func TestOneCodeInManyForms(t *testing.T) {
	for want, forms := range map[string][]string{
		"MQ-001": {"MQ-001", " MQ-001", "MQ-001\u00a0", "\ufeffMQ-001", "MQ\u200b-001", "MQ-\u2060001", "ＭＱ－００１", "MQ-001\u200e", "MQ\u00ad-001", "MQ-001\x00"},
		"A 1":    {"A 1", "A  1", "A\t1", "A\u20031", "A\r\n1", "A\u3000 1"},
		"12":     {"12", "12.0", "12,0", " 12.00", "１２", "①②"},
		"é1":     {"é1", "e\u03011"},
		"012":    {"012", "012.0"},
		"fi":     {"ﬁ", "fi"},
	} {
		for _, f := range forms {
			got, changes := Code(f, false)
			assert.Equal(t, want, got, "%q", f)
			assert.Equal(t, f != want, len(changes) > 0, "%q: what was changed is said", f)
			again, more := Code(got, false)
			assert.Equal(t, got, again)
			assert.Empty(t, more, "%q", f)
		}
	}
}

func TestDifferentCodesStayDifferent(t *testing.T) {
	for _, pair := range [][2]string{{"12", "012"}, {"12E3", "12000"}, {"12.5", "12"}, {"mq-1", "MQ-1"}, {"A-1", "A 1"}, {"A1", "A 1"}, {"12.0.0", "12"}, {"-12.0", "12"}} {
		a, _ := Code(pair[0], false)
		b, _ := Code(pair[1], false)
		assert.NotEqual(t, a, b, "%v", pair)
	}
}

// A cell that holds a number may write it as 4.477E11; a text may not.
func TestLongNumbersOfCells(t *testing.T) {
	got, changes := Code("4.477E11", true)
	assert.Equal(t, "447700000000", got)
	assert.Equal(t, []CodeChange{CodeNumber}, changes)
	got, _ = Code("4.477E11", false)
	assert.Equal(t, "4.477E11", got)
	got, _ = Code("1.5E0", true)
	assert.Equal(t, "1.5E0", got)
}
