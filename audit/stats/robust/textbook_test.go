package robust

import (
	"fmt"
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/bycase"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/sandwich"
)

// What the audit does not use and tests compare with: textbook and named forms.

// ModelContrast estimates c'b with the textbook standard error, taking rows as
// independent, t on N - Rank degrees of freedom. It is for measurements that
// are not clustered, and to show beside the clustered interval what clustering
// costs. (Seber & Lee 2003, Linear Regression Analysis, 2nd ed., section 3.2.)
func (f *LinearFit) ModelContrast(c []float64, level float64) stats.Estimate {
	e, l, ok := f.start(c, level)
	e.Clusters = f.N
	e.Method = "least squares, rows taken as independent, t on n - p df"
	if !ok {
		return e
	}
	if f.DF < 1 {
		e.NotEstimable(stats.Warning{ID: "no-df", Text: "as many columns as rows: no residual is left to judge by", Remedy: "drop columns, or add rows"})
		return e
	}
	e.SE, e.DF = f.Sigma*math.Sqrt(numeric.Dot(l, l)), f.DF
	if !(e.SE > sandwich.LeastSE(l, f.design.Size())) {
		e.NotEstimable(sandwich.ExactFit)
		return e
	}
	e.SetLimits()
	e.P = dist.TTwoSided(e.Value/e.SE, e.DF)
	return e
}

// Residual gives y - Xb of row i.
func (f *LinearFit) Residual(i int) float64 { return f.design.Resid[i] }

// RatioOfSumsJackknife estimates sum(num)/sum(den) with the delete-one-case
// jackknife variance (m-1)/m sum (R_(c) - mean R_(.))^2 on t with m-1 degrees
// of freedom (Cochran 1977, equation 6.82; Wolter 2007, chapter 4).
func RatioOfSumsJackknife(num, den []float64, cluster []int, level float64) (stats.Estimate, error) {
	if err := bycase.CheckPairs(num, den, cluster, level); err != nil {
		return stats.Estimate{}, err
	}
	s := sumRatio(num, den, cluster)
	e, ok := s.estimate(level, "ratio of sums, delete-one-case jackknife, t on cases - 1 df")
	if !ok {
		return e, nil
	}
	a, m := s.ratio*s.total, float64(s.clusters)
	var sum, sum2 float64 // of R_(c) - R, centred to keep digits
	bycase.Visit(cluster, num, den, func(y, x float64, _ int) {
		d := (a-y)/(s.total-x) - s.ratio
		sum += d
		sum2 += d * d
	})
	e.SE, e.DF = math.Sqrt((m-1)/m*(sum2-sum*sum/m)), m-1
	s.finish(&e)
	return e, nil
}

// RatioOfSumsCR2 estimates sum(num)/sum(den) with the bias-reduced variance of
// Bell & McCaffrey (2002, Survey Methodology 28:169-181) for the regression of
// case totals of num on those of den through the origin with weights 1/den,
// whose slope the ratio of sums is: a case with leverage h counts u^2/(1-h). Degrees of freedom are
// Satterthwaite's under the working model var(sum num) proportional to
// sum den; with equal denominators they are m-1 and the standard error is the
// linearised one. Denominators must not be negative.
func RatioOfSumsCR2(num, den []float64, cluster []int, level float64) (stats.Estimate, error) {
	if err := bycase.CheckPairs(num, den, cluster, level); err != nil {
		return stats.Estimate{}, err
	}
	s := sumRatio(num, den, cluster)
	return s.cr2(level, "ratio of sums, CR2 variance, cases as units, t on Satterthwaite df", ratioSums.satterthwaite), nil
}

// RatioOfSumsLongTails is RatioOfSums of denominators that are not negative.
func RatioOfSumsLongTails(num, den []float64, cluster []int, level float64) (stats.Estimate, error) {
	if err := bycase.CheckPairs(num, den, cluster, level); err != nil {
		return stats.Estimate{}, err
	}
	return sumRatio(num, den, cluster).cr2(level, longTailsMethod, ratioSums.longTails), nil
}

// JointTest tests that all contrasts (rows over the columns of the model) are
// zero by the approximate Hotelling T^2 test with small-sample degrees of
// freedom (Pustejovsky & Tipton 2018, section 3.2, equation 11; the HTZ test
// of R's clubSandwich). Panics where a row does not fit the columns.
func (f *LinearFit) JointTest(contrasts [][]float64) stats.JointTest {
	return sandwich.RobustJoint(&f.design.Solution, f.robust, contrasts, fmt.Sprintf("approximate Hotelling T-squared, %s variance by case", f.Variance))
}
