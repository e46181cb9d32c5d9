package numeric

import "math"

// LogSum adds up log(1+x) for x not negative: a product takes the place of most
// of the logs (see BenchmarkLogSum).
type LogSum struct {
	Exact          bool    // each log by itself, where what is added to the sum nearly cancels it
	total, product float64 // product of 1+x, less one
}

// Add takes a term in.
func (s *LogSum) Add(x float64) {
	if s.Exact {
		s.total += math.Log1p(x)
		return
	}
	if s.product += x + s.product*x; s.product > 1e200 || x > 1e100 {
		s.total += math.Log1p(s.product)
		s.product = 0
	}
}

// Sum is the sum so far.
func (s *LogSum) Sum() float64 { return s.total + math.Log1p(s.product) }
