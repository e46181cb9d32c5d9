package losses

import (
	"fmt"
	"math"

	"shortfall/audit/disclose"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/prop"
	"shortfall/ingest/casebook"
)

// lossPer is the exposure a rate is given for, in feature-months.
const lossPer = 100

// Rates gives features lost by the month worn, for all features and by
// style, shape and tooth class.
func Rates(p *rows.Set) results.LossRates {
	features, excluded := wornFeatures(p)
	out := results.LossRates{Excluded: excluded, Exposure: countExposure(features)}
	keep := func(match func(*wornFeature) bool) []wornFeature {
		n := 0
		for i := range features {
			n += measure.OneIf(match(&features[i]))
		}
		some := make([]wornFeature, 0, n)
		for i := range features {
			if match(&features[i]) {
				some = append(some, features[i])
			}
		}
		return some
	}
	add := func(like results.LossRate, some []wornFeature) {
		if len(some) > 0 {
			out.Rates = append(out.Rates, lossRate(p, like, some))
		}
	}
	add(results.LossRate{}, features)
	for _, st := range []casebook.Style{casebook.SoftwareSuggested, casebook.ClinicianDesigned} {
		add(results.LossRate{Style: st}, keep(func(f *wornFeature) bool { return f.style == st }))
	}
	for _, sh := range casebook.Shapes() {
		add(results.LossRate{Shape: sh}, keep(func(f *wornFeature) bool { return f.shape == sh }))
	}
	for _, c := range casebook.ToothClasses() {
		add(results.LossRate{ToothClass: c}, keep(func(f *wornFeature) bool { return f.class == c }))
	}
	out.Ratio = lossRatio(p, features)
	return out
}

func countExposure(features []wornFeature) []results.Exclusion {
	n := map[rows.ExposureSource]int{}
	noMonth := 0
	for i := range features {
		n[features[i].source]++
		noMonth += measure.OneIf(features[i].noMonth)
	}
	var out []results.Exclusion
	for _, src := range []rows.ExposureSource{rows.FromAligners, rows.FromNextCourse, rows.FromCaseEnd} {
		if n[src] > 0 {
			e := rows.ExposureReasons[src]
			e.Movements = n[src]
			out = append(out, e)
		}
	}
	if noMonth > 0 {
		out = append(out, results.Exclusion{
			ID: "loss-month-missing", Reason: "of these: lost, month not recorded; half the course is counted as worn", Movements: noMonth,
		})
	}
	return out
}

// lossModel is a Poisson model of losses with months worn as exposure. Features of a case
// that are alike in all columns are one row of their losses and months: the likelihood,
// the scores of the cases and CR2, whose working variance is that of the counts, are the same
// (TestFeaturesAlikeAreOneRow). kind numbers the columns that a feature has.
func lossModel(features []wornFeature, names []string, kind func(*wornFeature) int, columns func(*wornFeature) []float64) glm.CountModel {
	m := glm.CountModel{Names: names}
	at := map[int]int{} // of the rows of the case, by kind
	for i := range features {
		f := &features[i]
		if i > 0 && features[i-1].cluster != f.cluster {
			clear(at)
		}
		k := kind(f)
		row, known := at[k]
		if !known {
			row = len(m.Y)
			at[k] = row
			m.X = append(m.X, columns(f)...)
			m.Y, m.Offset, m.Cluster = append(m.Y, 0), append(m.Offset, 0), append(m.Cluster, f.cluster)
		}
		m.Y[row] += float64(measure.OneIf(f.lost))
		m.Offset[row] += f.months
	}
	for row, months := range m.Offset {
		m.Offset[row] = math.Log(months)
	}
	return m
}

func lossRate(p *rows.Set, like results.LossRate, features []wornFeature) results.LossRate {
	out, last := like, -1
	out.Features, out.Rate = len(features), measure.NoSpread()
	var months float64
	for i := range features {
		f := &features[i]
		months += f.months
		out.Lost += measure.OneIf(f.lost)
		if f.cluster != last {
			out.Cases, last = out.Cases+1, f.cluster
		}
	}
	out.Months = results.Number(months)
	out.Rate.Value = measure.OrMissing(lossPer * float64(out.Lost) / months)
	switch s := &p.Settings; {
	case out.Cases < s.MinIntervalCases:
		out.Warnings = append(out.Warnings, measure.FewCases(s.MinIntervalCases))
	case out.Lost == 0:
		noneLost(p, &out, months)
	default:
		fit, err := glm.FitCount(lossModel(features, []string{"rate"}, func(*wornFeature) int { return 0 }, func(*wornFeature) []float64 { return []float64{1} }), glm.Poisson, stats.CR2)
		if err != nil {
			out.Warnings = append(out.Warnings, measure.NotEstimated(err))
			return out
		}
		e := fit.Contrast([]float64{1}, s.Level)
		rate := func(x float64) results.Number { return measure.OrMissing(lossPer * math.Exp(x)) }
		out.Rate = results.Spread{Value: rate(e.Value), SE: measure.OrMissing(e.SE * lossPer * math.Exp(e.Value)), DF: measure.OrMissing(e.DF), Low: rate(e.Low), High: rate(e.High)}
		out.Method = "Poisson with months worn as exposure, CR2 variance by case, t limits on the log scale"
		out.Warnings = append(out.Warnings, measure.Warnings(e.Warnings)...)
	}
	return out
}

// noneLost bounds a rate of nothing lost: Garwood's exact limit (1936,
// Biometrika 28:437-442); there is no spread between cases to allow for.
func noneLost(p *rows.Set, out *results.LossRate, months float64) {
	g := prop.Garwood(0, p.Settings.Level)
	out.Rate.Low, out.Rate.High = 0, results.Number(lossPer*g.High/months)
	out.Method = "none lost: exact Poisson limit (Garwood 1936)"
	out.Warnings = append(out.Warnings, results.Warning{
		ID: "none-lost", Text: "none lost: the upper limit takes attachments as independent", Remedy: "read it as a lower bound of what is possible",
	})
}

// lossRatio is clinician-designed over software-suggested, within tooth
// classes (their rates differ: Li & Yang 2024, Orthod Craniofac Res
// 27:244-250).
func lossRatio(p *rows.Set, features []wornFeature) *results.LossRatio {
	cases := [2]map[int]bool{{}, {}}
	events := [2]int{}
	for i := range features {
		arm := measure.OneIf(features[i].style == casebook.ClinicianDesigned)
		cases[arm][features[i].cluster] = true
		events[arm] += measure.OneIf(features[i].lost)
	}
	need := p.Settings.MinIntervalCases
	out := &results.LossRatio{Ratio: results.NotEstimable, Low: results.NotEstimable, High: results.NotEstimable, P: results.NotEstimable}
	if min(len(cases[0]), len(cases[1])) < need || min(events[0], events[1]) == 0 {
		out.Warnings = []results.Warning{{
			ID: "few-cases-in-arm", Text: fmt.Sprintf("fewer than %d cases, or no loss, in one of the two styles", need),
			Remedy: "record more attachments with whether they were lost",
		}}
		return out
	}
	names, others := []string{"rate", "clinician-designed"}, casebook.ToothClasses()[1:]
	for _, c := range others {
		names = append(names, c.String())
	}
	kind := func(f *wornFeature) int { return 2*int(f.class) + measure.OneIf(f.style == casebook.ClinicianDesigned) }
	fit, err := glm.FitCount(lossModel(features, names, kind, func(f *wornFeature) []float64 {
		x := []float64{1, float64(measure.OneIf(f.style == casebook.ClinicianDesigned))}
		for _, c := range others {
			x = append(x, float64(measure.OneIf(f.class == c)))
		}
		return x
	}), glm.Poisson, stats.CR2)
	if err != nil {
		out.Warnings = []results.Warning{measure.NotEstimated(err)}
		return out
	}
	contrast := make([]float64, len(names))
	contrast[1] = 1
	e := fit.Contrast(contrast, p.Settings.Level)
	out.Ratio, out.Low, out.High, out.P = measure.OrMissing(math.Exp(e.Value)), measure.OrMissing(math.Exp(e.Low)), measure.OrMissing(math.Exp(e.High)), measure.OrMissing(e.P)
	out.Method = "Poisson with months worn as exposure and tooth class, CR2 variance by case"
	out.Warnings = measure.Warnings(e.Warnings)
	return out
}

// withholdRates keeps small groups back, and never one alone: its figures could be
// had by taking the others from the total. The ratio goes with either style.
func withholdRates(p *rows.Set, out *results.LossRates) {
	s := &p.Settings
	for _, group := range [][]*results.LossRate{
		disclose.Pick(out.Rates, func(r *results.LossRate) bool { return r.Style != 0 }),
		disclose.Pick(out.Rates, func(r *results.LossRate) bool { return r.Shape != 0 }),
		disclose.Pick(out.Rates, func(r *results.LossRate) bool { return r.ToothClass != 0 }),
		disclose.Pick(out.Rates, func(r *results.LossRate) bool { return r.Style == 0 && r.Shape == 0 && r.ToothClass == 0 }),
	} {
		for _, r := range disclose.WithheldOf(group, s.MinCellCases, func(r *results.LossRate) int { return r.Cases }) {
			*r = results.LossRate{
				Style: r.Style, Shape: r.Shape, ToothClass: r.ToothClass, Months: results.NotEstimable, Rate: measure.NoSpread(),
				Suppressed: true, Warnings: []results.Warning{disclose.TooFewShown(s)},
			}
		}
	}
	shown := 0
	for i := range out.Rates {
		shown += measure.OneIf(out.Rates[i].Style != 0 && !out.Rates[i].Suppressed)
	}
	if shown < 2 {
		out.Ratio = nil
	}
}
