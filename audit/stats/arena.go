package stats

// Arena is memory that fits made one after the other share, so that thousands
// of them leave nothing to collect. What comes from it is good until Reset, or until
// Release of a Mark set before. A nil Arena gives memory of its own. Not for more than
// one goroutine at a time. See BenchmarkArena.
type Arena struct {
	floats lender[float64]
	ints   lender[int]
	codes  lender[int32]
}

// Floats gives n zeros.
func (a *Arena) Floats(n int) []float64 {
	out := a.Room(n)
	clear(out)
	return out
}

// Room gives n numbers for who writes them all before reading any: they can be what was
// there.
func (a *Arena) Room(n int) []float64 {
	if a == nil {
		return make([]float64, n)
	}
	return a.floats.lend(n)
}

// Ints gives n zeros.
func (a *Arena) Ints(n int) []int {
	out := a.Places(n)
	clear(out)
	return out
}

// Places gives n whole numbers as Room does.
func (a *Arena) Places(n int) []int {
	if a == nil {
		return make([]int, n)
	}
	return a.ints.lend(n)
}

// Codes gives n small numbers as Room does.
func (a *Arena) Codes(n int) []int32 {
	if a == nil {
		return make([]int32, n)
	}
	return a.codes.lend(n)
}

// Reset takes everything back.
func (a *Arena) Reset() { a.Release(Mark{}) }

// Held is how many numbers of 64 bits the memory of the Arena has room for, given out or not.
func (a *Arena) Held() (n int) {
	for _, c := range a.floats.chunks {
		n += len(c)
	}
	for _, c := range a.ints.chunks {
		n += len(c)
	}
	for _, c := range a.codes.chunks {
		n += len(c) / 2
	}
	return n
}

// Mark is a moment of an Arena.
type Mark struct{ floats, ints, codes place }

// Mark remembers what is given out.
func (a *Arena) Mark() Mark {
	if a == nil {
		return Mark{}
	}
	return Mark{a.floats.place, a.ints.place, a.codes.place}
}

// Release takes back what was given out after the mark.
func (a *Arena) Release(m Mark) {
	if a != nil {
		a.floats.place, a.ints.place, a.codes.place = m.floats, m.ints, m.codes
	}
}

// chunk is the least number of values asked of the system at a time.
const chunk = 1 << 14

// lender cuts pieces from chunks that never move.
type lender[T any] struct {
	chunks [][]T
	place
}

// place is a chunk, and how much of it is given out.
type place struct{ at, used int }

func (l *lender[T]) lend(n int) []T {
	for l.at < len(l.chunks) && l.used+n > len(l.chunks[l.at]) {
		l.at, l.used = l.at+1, 0
	}
	if l.at == len(l.chunks) {
		size := 0
		for _, c := range l.chunks { // a quarter of all so far: few of them, and little too much
			size += len(c) / 4
		}
		l.chunks = append(l.chunks, make([]T, max(n, chunk, size)))
	}
	out := l.chunks[l.at][l.used : l.used+n : l.used+n]
	l.used += n
	return out
}
