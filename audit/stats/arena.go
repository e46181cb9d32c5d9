package stats

// Arena is memory that fits made one after the other share, so that thousands
// of them leave nothing to collect. What comes from it is good until Reset. A nil
// Arena gives memory of its own. Not for more than one goroutine at a time. See
// BenchmarkArena.
type Arena struct {
	buf  []float64
	used int
}

// Floats gives n zeros.
func (a *Arena) Floats(n int) []float64 {
	if a == nil {
		return make([]float64, n)
	}
	if a.used+n > len(a.buf) { // what was given out keeps the old memory alive
		a.buf, a.used = make([]float64, max(n, 2*len(a.buf))), 0
	}
	out := a.buf[a.used : a.used+n : a.used+n]
	a.used += n
	clear(out)
	return out
}

// Reset takes everything back.
func (a *Arena) Reset() { a.used = 0 }
