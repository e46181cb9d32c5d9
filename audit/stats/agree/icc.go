package agree

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
)

// IntraclassResult holds the six coefficients of Shrout & Fleiss (1979,
// Psychol Bull 86:420-428) for n things each read by the same k readers.
type IntraclassResult struct {
	OneWay             stats.Estimate // ICC(1,1): readers differ from thing to thing
	Agreement          stats.Estimate // ICC(2,1): random readers, absolute agreement
	Consistency        stats.Estimate // ICC(3,1): these readers only, consistency
	OneWayAverage      stats.Estimate // ICC(1,k), mean of k readings
	AgreementAverage   stats.Estimate // ICC(2,k)
	ConsistencyAverage stats.Estimate // ICC(3,k)
	// Sums of squares of the two-way table and their degrees of freedom.
	SSBetween, SSReaders, SSError float64
	DFBetween, DFReaders, DFError float64
}

// IntraclassCorrelations analyses a complete table, one row a thing and one
// column a reader. P is of the F test that the coefficient is 0, one-sided.
func IntraclassCorrelations(table [][]float64, level float64) (IntraclassResult, error) {
	if err := stats.CheckLevel(level); err != nil {
		return IntraclassResult{}, err
	}
	n, k := len(table), 0
	if n > 0 {
		k = len(table[0])
	}
	for i, row := range table {
		if len(row) != k {
			return IntraclassResult{}, fmt.Errorf("stats: row %d has %d readings, expected %d", i, len(row), k)
		}
		if err := bycase.CheckClustered(k, nil, row); err != nil {
			return IntraclassResult{}, fmt.Errorf("row %d: %w", i, err)
		}
	}
	r := twoWay(table, n, k)
	r.coefficients(n, k, level)
	return r, nil
}

func twoWay(table [][]float64, n, k int) IntraclassResult {
	fn, fk := float64(n), float64(k)
	var grand float64
	rows, cols := make([]float64, n), make([]float64, k)
	for i, row := range table {
		for j, v := range row {
			rows[i] += v / fk
			cols[j] += v / fn
			grand += v / (fn * fk)
		}
	}
	r := IntraclassResult{DFBetween: fn - 1, DFReaders: fk - 1, DFError: (fn - 1) * (fk - 1)}
	for i, row := range table {
		r.SSBetween += fk * (rows[i] - grand) * (rows[i] - grand)
		for j, v := range row {
			e := v - rows[i] - cols[j] + grand
			r.SSError += e * e
		}
	}
	for _, c := range cols {
		r.SSReaders += fn * (c - grand) * (c - grand)
	}
	return r
}

func (r *IntraclassResult) coefficients(n, k int, level float64) {
	fn, fk := float64(n), float64(k)
	bms, jms, ems := r.SSBetween/r.DFBetween, r.SSReaders/r.DFReaders, r.SSError/r.DFError
	dfw := fn * (fk - 1)
	wms := (r.SSReaders + r.SSError) / dfw
	tail := 0.5 - level/2
	short := n < 2 || k < 2 || bms+jms+ems == 0
	build := func(value, low, high, f, df2 float64, method string) stats.Estimate {
		e := stats.Estimate{
			Value: value, SE: math.NaN(), DF: df2, Low: low, High: high, Level: level,
			P: dist.FTail(f, r.DFBetween, df2), N: n * k, Clusters: n, Method: method + ", normal errors, independent things",
		}
		if short {
			e.Value = math.NaN()
			e.NotEstimable(stats.Warning{ID: "no-variation", Text: "fewer than two things or readers, or all readings alike", Remedy: "measure more things at least twice"})
		} else if f > 1/(stats.Rounding*stats.Rounding) {
			e.Value = 1
			e.NotEstimable(stats.NoSpread)
		}
		return e
	}
	// One-way and consistency: limits of F = bms/error by F quantiles (Shrout
	// & Fleiss 1979, pages 424-426).
	single := func(f, df2 float64) (v, low, high, vk, lowK, highK float64) {
		fl, fu := f/dist.FQuantile(1-tail, r.DFBetween, df2), f*dist.FQuantile(1-tail, df2, r.DFBetween)
		one := func(f float64) float64 { return (f - 1) / (f + fk - 1) }
		avg := func(f float64) float64 { return 1 - 1/f }
		if math.IsInf(f, 1) {
			return 1, 1, 1, 1, 1, 1
		}
		return one(f), one(fl), one(fu), avg(f), avg(fl), avg(fu)
	}
	f1 := bms / wms
	v, l, h, vk, lk, hk := single(f1, dfw)
	r.OneWay = build(v, l, h, f1, dfw, "ICC(1,1), one-way")
	r.OneWayAverage = build(vk, lk, hk, f1, dfw, fmt.Sprintf("ICC(1,%d), one-way, mean of %d", k, k))
	f3 := bms / ems
	v, l, h, vk, lk, hk = single(f3, r.DFError)
	r.Consistency = build(v, l, h, f3, r.DFError, "ICC(3,1), fixed readers, consistency")
	r.ConsistencyAverage = build(vk, lk, hk, f3, r.DFError, fmt.Sprintf("ICC(3,%d), fixed readers, consistency, mean of %d", k, k))
	v = (bms - ems) / (bms + (fk-1)*ems + fk*(jms-ems)/fn)
	l, h = agreementLimits(v, bms, jms, ems, fn, fk, tail)
	r.Agreement = build(v, l, h, f3, r.DFError, "ICC(2,1), random readers, absolute agreement")
	average := func(x float64) float64 { return x * fk / (1 + x*(fk-1)) } // Spearman-Brown
	r.AgreementAverage = build((bms-ems)/(bms+(jms-ems)/fn), average(l), average(h), f3, r.DFError,
		fmt.Sprintf("ICC(2,%d), random readers, absolute agreement, mean of %d", k, k))
}

// agreementLimits are the limits of ICC(2,1) by Satterthwaite's degrees of
// freedom (Fleiss & Shrout 1978, Psychometrika 43:259-262; Shrout & Fleiss
// 1979, page 424).
func agreementLimits(icc, bms, jms, ems, n, k, tail float64) (low, high float64) {
	if ems == 0 && jms == 0 {
		return 1, 1
	}
	fj := jms / ems
	if ems == 0 {
		fj = math.Inf(1)
	}
	vn := (k - 1) * (n - 1) * numeric.Square(k*icc*fj+n*(1+(k-1)*icc)-k*icc)
	vd := (n-1)*k*k*icc*icc*fj*fj + numeric.Square(n*(1+(k-1)*icc)-k*icc)
	v := vn / vd
	if math.IsInf(fj, 1) {
		v = k - 1 // the limit of vn/vd
	}
	f3u, f3l := dist.FQuantile(1-tail, n-1, v), dist.FQuantile(1-tail, v, n-1)
	low = n * (bms - f3u*ems) / (f3u*(k*jms+(k*n-k-n)*ems) + n*bms)
	high = n * (f3l*bms - ems) / (k*jms + (k*n-k-n)*ems + n*f3l*bms)
	return low, high
}
