package room

import (
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

// What measuring twice shows of the error of the method.
var _ = Furnish("methoderror", Room{
	Exhibits: Exhibits{"table": methodError},
	Facts:    methodErrorFacts,
})

func methodError(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range m.Results.Repeats {
		u := x.Unit
		pairs := pair(x.Pairs, x.Cases)
		if x.Suppressed {
			pairs = tooFew
		}
		t.add(noted(way(&x, m.Results.Repeats), x.Warnings), Words(pairs), Words(wording.FineInterval(x.Bias.Value, x.Bias.Low, x.Bias.High, u)), Words(wording.P(x.BiasP)),
			Words(wording.Fine(x.Dahlberg, u)), Words(wording.Fine(x.MethodOfMoments, u)), Words(wording.Fixed(x.ICC.Value, 2)), Words(wording.Fine(x.SmallestDetectable, u)))
	}
	return orNil(t.Table)
}

// way names what a method error is of; where another row names how it was measured, one
// without says so.
func way(x *results.MethodError, all []results.MethodError) string {
	named := slices.ContainsFunc(all, func(y results.MethodError) bool { return y.MeasuredBy != casebook.NoMethod })
	if x.MeasuredBy == casebook.NoMethod && named {
		return wording.Unit(x.Unit) + ", way not recorded"
	}
	return wording.Measured(wording.Unit(x.Unit), x.MeasuredBy)
}

func methodErrorFacts(m *Maker) (out []Fact) {
	for _, x := range m.Results.Repeats {
		t := "method error, " + wording.Measured(x.Unit.String(), x.MeasuredBy)
		out = append(out, Fact{t, "pairs", blankIf(x.Suppressed, x.Pairs)}, Fact{t, "cases", blankIf(x.Suppressed, x.Cases)}, Fact{t, "bias", x.Bias.Value}, Fact{t, "bias low", x.Bias.Low}, Fact{t, "bias high", x.Bias.High},
			Fact{t, "P of bias", x.BiasP}, Fact{t, "Dahlberg", x.Dahlberg}, Fact{t, "method of moments", x.MethodOfMoments}, Fact{t, "ICC", x.ICC.Value},
			Fact{t, "smallest detectable change", x.SmallestDetectable}, Fact{t, "lower limit of agreement", x.LowerAgreement}, Fact{t, "upper limit of agreement", x.UpperAgreement})
	}
	return out
}
