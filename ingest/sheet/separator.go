package sheet

import (
	"bytes"
	"encoding/csv"
	"io"

	"shortfall/ingest/rules"
)

// mostFields of one line that a separator is tried on; no sheet has so many.
const mostFields = 20_000

// separators that are tried, and the bytes of text they are tried on.
const (
	separators  = ",;\t|"
	sampleBytes = 256 << 10
)

// separator finds what separates the cells: a first line such as "sep=;", or
// the character that splits most lines into the same number of cells. It gives
// the text after a "sep=" line, which is no row.
func separator(data []byte) (body []byte, sep rune, err error) {
	line, rest, _ := bytes.Cut(data, []byte("\n"))
	if s := bytes.Trim(line, "\"\r "); len(s) == 5 && bytes.EqualFold(s[:4], []byte("sep=")) {
		return rest, rune(s[4]), nil
	}
	sample := data[:min(len(data), sampleBytes)]
	if len(sample) < len(data) {
		if end := bytes.LastIndexByte(sample, '\n'); end > 0 {
			sample = sample[:end+1]
		}
	}
	var best []split
	for _, c := range separators {
		s := trySplit(sample, c)
		switch {
		case s.width < 2:
		case len(best) == 0 || s.better(best[0]):
			best = []split{s}
		case !best[0].better(s):
			best = append(best, s)
		}
	}
	switch len(best) {
	case 0:
		return nil, 0, rules.New(rules.TextSeparator, "no separator splits the lines into columns")
	case 1:
		return data, best[0].sep, nil
	}
	return nil, 0, rules.New(rules.TextSeparator, "two separators split the lines equally well")
}

// split is how one separator divides a sample: the commonest number of cells
// above one, and how many of the lines have it.
type split struct {
	sep          rune
	width, share int // share in parts of 1000
}

func (s split) better(o split) bool {
	if s.share != o.share {
		return s.share > o.share
	}
	return s.width > o.width
}

func trySplit(sample []byte, sep rune) split {
	r := csv.NewReader(bytes.NewReader(sample))
	// Quotation marks are judged when the file is read; here they only must not
	// stop the count.
	r.Comma, r.FieldsPerRecord, r.LazyQuotes, r.ReuseRecord = sep, -1, true, true
	widths, lines := map[int]int{}, 0
	for {
		fields, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return split{sep: sep}
		}
		if len(fields) > mostFields {
			return split{sep: sep}
		}
		lines++
		widths[len(fields)]++
	}
	out := split{sep: sep}
	most := 0
	// any order: of two as frequent the wider one is kept
	for w, n := range widths {
		if w >= 2 && (n > most || n == most && w > out.width) {
			most, out.width = n, w
		}
	}
	if lines > 0 {
		out.share = 1000 * most / lines
	}
	return out
}
