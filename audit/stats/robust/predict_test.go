package robust

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Ezekiel (1930, Methods of Correlation Analysis), data set cars of R.
var (
	carsSpeed = []float64{4, 4, 7, 7, 8, 9, 10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 15, 15, 15, 16, 16, 17, 17, 17, 18, 18, 18, 18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24, 24, 25}
	carsDist  = []float64{2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80, 20, 26, 54, 32, 40, 32, 40, 50, 42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85}
)

// growth is Potthoff & Roy (1964, Biometrika 51:313-326), nlme::Orthodont:
// distance at ages 8, 10, 12, 14 of 16 boys and 11 girls.
var growth = []float64{
	26, 25, 29, 31, 21.5, 22.5, 23, 26.5, 23, 22.5, 24, 27.5, 25.5, 27.5, 26.5, 27, 20, 23.5, 22.5, 26, 24.5, 25.5, 27, 28.5,
	22, 22, 24.5, 26.5, 24, 21.5, 24.5, 25.5, 23, 20.5, 31, 26, 27.5, 28, 31, 31.5, 23, 23, 23.5, 25, 21.5, 23.5, 24, 28,
	17, 24.5, 26, 29.5, 22.5, 25.5, 25.5, 26, 23, 24.5, 26, 30, 22, 21.5, 23.5, 25,
	21, 20, 21.5, 23, 21, 21.5, 24, 25.5, 20.5, 24, 24.5, 26, 23.5, 24.5, 25, 26.5, 21.5, 23, 22.5, 23.5, 20, 21, 21, 22.5,
	21.5, 22.5, 23, 25, 23, 23, 23.5, 24, 20, 21, 22, 21.5, 16.5, 19, 19, 19.5, 24.5, 25, 28, 28,
}

// TestPredictionAgainstR: R 4.2.2, for k in 0, .25, .5, .75, 1
//
//	f <- lm(dist ~ speed, cars, weights = speed^(-2*k)); logLik(f)
//	predict(f, data.frame(speed = x0), interval = "prediction", level = .8, weights = x0^(-2*k))
//
// The likelihood is largest at k = 0.75 (-202.694866, next -202.761618).
func TestPredictionAgainstR(t *testing.T) {
	f, err := FitPrediction(carsSpeed, carsDist, nil)
	require.NoError(t, err)
	assert.Equal(t, 0.75, f.Power)
	assert.InDelta(t, -11.083045995665, f.Intercept, 1e-9)
	assert.InDelta(t, 3.49477062743991, f.Slope, 1e-10)
	assert.InDelta(t, 1.93259712242699, f.Sigma, 1e-10)
	for x0, want := range map[float64][3]float64{
		5:  {6.39080714153459, -2.7117527001736, 15.4933669832428},
		15: {41.3385134159337, 22.0045133617799, 60.6725134700875},
		25: {76.2862196903328, 47.5779656327879, 104.994473747878},
	} {
		e := f.At(x0, 0.8)
		assert.InDelta(t, want[0], e.Value, 1e-9)
		assert.InDelta(t, want[1], e.Low, 1e-8)
		assert.InDelta(t, want[2], e.High, 1e-8)
	}
}

// TestClusteredPredictionAgainstR: R 4.2.2, nlme 3.1-162, clubSandwich 0.5.8
//
//	f <- lm(distance ~ age, Orthodont, weights = age^-.5)   # logLik largest at k = .25
//	V <- vcovCR(f, cluster = Subject, type = "CR2", inverse_var = TRUE)
//	se <- sqrt(sigma(f)^2 * x0^.5 + t(c) %*% V %*% c), limits on qt(.9, 27 - 2)
//
// and the same line refitted without each subject in turn: 87 of 108 inside.
// Of the several square roots that make CR2 unbiased clubSandwich takes another
// where weights differ within a cluster: the errors agree to 2e-6 relative.
func TestClusteredPredictionAgainstR(t *testing.T) {
	var x []float64
	var subject []int
	for i := range growth {
		x, subject = append(x, float64(8+2*(i%4))), append(subject, i/4)
	}
	f, err := FitPrediction(x, growth, subject)
	require.NoError(t, err)
	assert.Equal(t, 0.25, f.Power)
	for x0, want := range map[float64][4]float64{
		8:  {22.05664045175084, 2.38279410296813, 18.92006117511239, 25.19321972838929},
		11: {24.0236772242998, 2.5755060204006, 20.6334225647035, 27.4139318838960},
	} {
		e := f.At(x0, 0.8)
		assert.InDelta(t, want[0], e.Value, 1e-9)
		assert.InDelta(t, want[1], e.SE, 1e-5)
		assert.InDelta(t, want[2], e.Low, 1e-5)
		assert.InDelta(t, want[3], e.High, 1e-5)
		assert.Equal(t, 25.0, e.DF)
	}
	inside, total := f.HeldOut(0.8)
	assert.Equal(t, [2]int{87, 108}, [2]int{inside, total})
}

func TestPredictionLaws(t *testing.T) {
	f, err := FitPrediction(carsSpeed, carsDist, nil)
	require.NoError(t, err)
	assert.Less(t, f.At(15, 0.8).High, f.At(15, 0.95).High, "a wider share, a wider band")
	scaled := make([]float64, len(carsDist))
	for i, v := range carsDist {
		scaled[i] = 25.4 * v
	}
	g, err := FitPrediction(carsSpeed, scaled, nil)
	require.NoError(t, err)
	assert.InDelta(t, 25.4*f.At(15, 0.8).Low, g.At(15, 0.8).Low, 1e-8, "units carry through")
	_, err = FitPrediction([]float64{1, 0}, []float64{1, 1}, nil)
	assert.Error(t, err, "a plan of nothing has no place on the line")
	few, err := FitPrediction([]float64{1, 2}, []float64{1, 2}, nil)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(few.At(1, 0.8).Low))
	assert.NotEmpty(t, few.At(1, 0.8).Warnings)
}
