package values

// Distance is the number of letters to insert, delete, change or swap with
// their neighbour to turn a into b (optimal string alignment; Damerau, Commun
// ACM 1964;7:171-176).
func Distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, last, now := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		now[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			now[j] = min(last[j]+1, now[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				now[j] = min(now[j], before[j-2]+1)
			}
		}
		before, last, now = last, now, before
	}
	return last[len(y)]
}

// Nearest is the candidate closest to s, "" where none is close.
func Nearest(s string, candidates []string) string {
	best, out := 3, ""
	for _, c := range candidates {
		if n := Distance(Key(s), Key(c)); Key(s) != "" && n < best && n*2 < len(c) {
			best, out = n, c
		}
	}
	return out
}
