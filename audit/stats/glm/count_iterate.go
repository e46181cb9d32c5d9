package glm

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// countIteration is the state of a count fit. Steps are taken in coordinates
// of T = XL (orthonormal columns), so that columns of any scale are safe.
type countIteration struct {
	o         *sandwich.Orthonormal
	x, y      []float64
	offset    []float64
	width     int
	gamma     []float64 // coordinates of T
	eta, mu   []float64
	theta     float64
	more      []float64 // more[j] = rows with a count above j
	logFacts  float64   // sum of log y!
	score     []float64
	info      []float64
	row, step []float64
	beta      []float64 // L gamma, over all columns
}

func newCountIteration(m CountModel) *countIteration {
	n := len(m.Y)
	o := sandwich.NewOrthonormal(m.X, m.Y, nil, len(m.Names))
	p := o.P
	it := &countIteration{
		o: o, x: m.X, y: m.Y, offset: m.Offset, width: len(m.Names), theta: math.Inf(1),
		gamma: make([]float64, p), eta: make([]float64, n), mu: make([]float64, n),
		score: make([]float64, p), info: make([]float64, p*p), row: make([]float64, 4*p), step: make([]float64, p), beta: make([]float64, len(m.Names)),
	}
	top := 0.0
	for _, y := range m.Y {
		top = math.Max(top, y)
	}
	it.more = make([]float64, int(top)+1)
	for _, y := range m.Y {
		it.more[int(y)]++
	}
	above := 0.0
	for j := len(it.more) - 1; j >= 0; j-- {
		it.more[j], above = above, above+it.more[j]
		it.logFacts += it.more[j] * math.Log(float64(j+1))
	}
	return it
}

// start makes the first step from means near the counts; false where no event
// was counted.
func (it *countIteration) start() bool {
	if len(it.more) == 1 || it.o.P == 0 {
		return false
	}
	if it.startAlone() {
		return true
	}
	clear(it.score)
	clear(it.info)
	for i, y := range it.y {
		mu := y + 0.1
		t := it.rowOf(i)
		numeric.Axpy(mu*(math.Log(mu)-at0(it.offset, i)+(y-mu)/mu), t, it.score)
		numeric.AddOuter(mu, t, it.info)
	}
	numeric.Mirror(it.o.P, it.info)
	if !numeric.CholeskySolve(it.o.P, it.info, it.score, it.gamma) {
		return false
	}
	it.predict()
	return true
}

// startAlone starts a single constant column at the Poisson maximum, which is
// closed there: events over exposure (McCullagh & Nelder 1989, section 6.2). It
// reports whether that is the model.
func (it *countIteration) startAlone() bool {
	if it.o.P != 1 || it.width != 1 {
		return false
	}
	var events, exposure float64
	for i, y := range it.y {
		if it.x[i] != it.x[0] {
			return false
		}
		events += y
		exposure += math.Exp(at0(it.offset, i))
	}
	it.gamma[0] = math.Log(events/exposure) / it.x[0] / it.o.L[0]
	it.predict()
	return true
}

// rowOf is row i of T.
func (it *countIteration) rowOf(i int) []float64 { return it.o.RowOf(i, it.row[:it.o.P]) }

// predict fills the means from the coordinates: T gamma = X (L gamma).
func (it *countIteration) predict() {
	p := it.o.P
	clear(it.beta)
	for a, col := range it.o.Cols {
		it.beta[col] = numeric.Dot(it.o.L[a*p+a:(a+1)*p], it.gamma[a:])
	}
	for i := range it.eta {
		it.eta[i] = at0(it.offset, i) + numeric.Dot(it.x[i*it.width:(i+1)*it.width], it.beta)
		it.mu[i] = math.Exp(it.eta[i])
	}
}

// weight is the working weight mu^2 / V(mu).
func (it *countIteration) weight(mu float64) float64 {
	if math.IsInf(it.theta, 1) {
		return mu
	}
	return mu / (1 + mu/it.theta)
}

// checkedStep is the length of a step, in standard errors, from which on the
// likelihood is watched; shorter ones cannot overshoot.
const checkedStep = 0.1

// newton takes one Fisher-scoring step, halved until the likelihood does not
// fall where it is long, and returns its length in standard errors.
func (it *countIteration) newton() float64 {
	p := it.o.P
	it.scoreAndInfo()
	if !numeric.CholeskySolve(p, it.info, it.score, it.step) {
		return math.NaN()
	}
	change := math.Sqrt(math.Abs(numeric.Dot(it.step, it.score)))
	if change < checkedStep {
		numeric.Axpy(1, it.step, it.gamma)
		it.predict()
		return change
	}
	before := it.logLik()
	old := append([]float64(nil), it.gamma...)
	for range 30 {
		for a := range p {
			it.gamma[a] = old[a] + it.step[a]
		}
		it.predict()
		if after := it.logLik(); after >= before-1e-9*math.Abs(before) {
			return change
		}
		numeric.Scale(0.5, it.step)
	}
	return change
}

// scoreAndInfo sums the score and the expected information, four rows at a time
// as in gram (see BenchmarkModels). A row of weight nought fills the last four.
func (it *countIteration) scoreAndInfo() {
	clear(it.score)
	clear(it.info)
	p, n := it.o.P, len(it.mu)
	inverse := 1 / it.theta // 0 for Poisson
	var t [4][]float64
	var r, w [4]float64
	for from := 0; from < n; from += 4 {
		for k := range 4 {
			i := from + k
			if i >= n {
				t[k], r[k], w[k] = t[0], 0, 0
				continue
			}
			mu := it.mu[i]
			over := 1 / (1 + mu*inverse) // the working weight is mu over 1 + mu/theta
			t[k] = it.o.RowOf(i, it.row[k*p:(k+1)*p])
			r[k], w[k] = (it.y[i]-mu)*over, mu*over
		}
		addScore4(&r, &t, it.score)
		numeric.AddOuter4(&w, &t, it.info)
	}
	numeric.Mirror(p, it.info)
}

// addScore4 adds the sum of r t of four rows to s.
func addScore4(r *[4]float64, t *[4][]float64, s []float64) {
	a, b, c, d := t[0][:len(s)], t[1][:len(s)], t[2][:len(s)], t[3][:len(s)]
	for j := range s {
		s[j] += r[0]*a[j] + r[1]*b[j] + r[2]*c[j] + r[3]*d[j]
	}
}

// countLimit bounds the steps of a fit.
const countLimit = 200

// run iterates to convergence and fills theta and the status.
func (it *countIteration) run(f *CountFit) {
	tol := fitTolerance
	if f.Family == NegativeBinomial {
		tol = 1e-3 // good enough to see overdispersion and to start from
	}
	f.Status = it.converge(f, false, tol)
	if f.Family == Poisson || f.Status != stats.Converged {
		return
	}
	// d logL / d(1/theta) at 1/theta = 0 is half of this sum; where it is not
	// positive the maximum is at the boundary (Lawless 1987, Canadian Journal
	// of Statistics 15:209-225).
	excess := 0.0
	for i, mu := range it.mu {
		excess += (it.y[i]-mu)*(it.y[i]-mu) - it.y[i]
	}
	if excess > 0 {
		it.theta = it.momentTheta()
		f.Status = it.converge(f, true, fitTolerance)
	}
	if excess <= 0 || it.theta == maxTheta {
		it.theta = math.Inf(1)
		if f.Status = it.converge(f, false, fitTolerance); f.Status == stats.Converged {
			f.Status = stats.Boundary
		}
		f.Warnings = append(f.Warnings, stats.Warning{
			ID: "no-overdispersion", Text: "the counts vary no more than Poisson counts: theta is infinite",
			Remedy: "read the Poisson fit; the robust variance stands",
		})
		return
	}
	f.Theta = it.theta
	if _, info := it.thetaDerivatives(); info > 0 {
		f.ThetaSE = 1 / math.Sqrt(info)
	}
}

// fitTolerance is the last step, in standard errors, at which a fit has
// converged; the error left is smaller by another factor of that order.
const fitTolerance = 1e-7

func (it *countIteration) converge(f *CountFit, withTheta bool, tol float64) stats.Status {
	for k := 0; k < countLimit; k++ {
		f.Iterations++
		change := it.newton()
		if math.IsNaN(change) {
			return stats.Failed
		}
		if it.empty() {
			return stats.Diverged
		}
		moved := 0.0
		if withTheta {
			moved = it.updateTheta()
		}
		if change < tol && (moved < tol || it.theta == maxTheta) {
			return stats.Converged
		}
	}
	return stats.IterationLimit
}

// empty reports a group whose mean runs to zero, as it does without events.
func (it *countIteration) empty() bool {
	for i, eta := range it.eta {
		if eta-at0(it.offset, i) < -25 && it.y[i] == 0 {
			return it.rangeOfOffsets() < 10
		}
	}
	return false
}

// rangeOfOffsets keeps wildly different exposures from looking like
// divergence.
func (it *countIteration) rangeOfOffsets() float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range it.y {
		v := at0(it.offset, i)
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return hi - lo
}
