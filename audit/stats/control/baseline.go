package control

import (
	"fmt"
	"math"

	"shortfall/audit/stats/internal/bycase"
)

// Sigmas is where control limits stand, in standard deviations from the centre
// (Shewhart 1931, Economic Control of Quality of Manufactured Product; three is
// common practice).
const Sigmas = 3

// Dispersion is the variance between units (a case in one quarter) of what they
// lie from their centre, for each unit of size: residual[i] = numerator - centre x
// size of row i, summed by unit,
//
//	m/(m - fitted) sum over units (sum residual)^2 / sum size,
//
// m units about `fitted` centres estimated from them. The variance of a share or
// mean of size n is then dispersion/n. For independent yes-or-no answers it is
// p(1-p); what is more is the design effect of clustering (compare Laney 2002,
// Quality Engineering 14:531-537, who scales a p chart by the spread observed). NaN
// where no more units than centres are there, or no size. An error where shapes do
// not fit or numbers are not finite.
func Dispersion(residual, size []float64, unit []int, fitted int) (float64, error) {
	if err := bycase.CheckClustered(len(residual), unit, residual, size); err != nil {
		return math.NaN(), err
	}
	if fitted < 1 {
		return math.NaN(), fmt.Errorf("stats: dispersion about %d centres: expected 1 or more", fitted)
	}
	var m, squares, total float64
	bycase.Visit(unit, residual, size, func(sum, n float64, _ int) {
		m++
		squares += sum * sum
		total += n
	})
	if !(total > 0) || m <= float64(fitted) {
		return math.NaN(), nil
	}
	return m / (m - float64(fitted)) * squares / total, nil
}

// ShareEffect is the design effect of a share: its dispersion over the binomial
// variance, at least 1, since clustering is not taken to make shares steadier. NaN
// where the share is 0 or 1.
func ShareEffect(dispersion, share float64) float64 {
	d := dispersion / (share * (1 - share))
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return math.NaN()
	}
	return max(1, d)
}

// SigmaLimits are centre less and plus three standard deviations of a point of the
// given size. NaN where there is no size or no dispersion.
func SigmaLimits(centre, dispersion, size float64) (low, high float64) {
	if !(size > 0) || !(dispersion > 0) {
		return math.NaN(), math.NaN()
	}
	half := Sigmas * math.Sqrt(dispersion/size)
	return centre - half, centre + half
}
