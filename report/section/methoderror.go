package section

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// What measuring twice shows of the error of the method.
var _ = furnish("methoderror", room{
	exhibits: exhibits{"table": methodError},
	facts:    methodErrorFacts,
})

func methodError(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range m.r.Repeats {
		u := x.Unit
		pairs := pair(x.Pairs, x.Cases)
		if x.Suppressed {
			pairs = tooFew
		}
		t.add(noted(wording.Measured(wording.Unit(u), x.MeasuredBy), x.Warnings), words(pairs), words(wording.FineInterval(x.Bias.Value, x.Bias.Low, x.Bias.High, u)), words(wording.P(x.BiasP)),
			words(wording.Fine(x.Dahlberg, u)), words(wording.Fine(x.MethodOfMoments, u)), words(wording.Fixed(x.ICC.Value, 2)), words(wording.Fine(x.SmallestDetectable, u)))
	}
	return orNil(t.Table)
}

func methodErrorFacts(m *maker) (out []fact) {
	for _, x := range m.r.Repeats {
		t := "method error, " + wording.Measured(x.Unit.String(), x.MeasuredBy)
		out = append(out, fact{t, "pairs", blankIf(x.Suppressed, x.Pairs)}, fact{t, "cases", blankIf(x.Suppressed, x.Cases)}, fact{t, "bias", x.Bias.Value}, fact{t, "bias low", x.Bias.Low}, fact{t, "bias high", x.Bias.High},
			fact{t, "P of bias", x.BiasP}, fact{t, "Dahlberg", x.Dahlberg}, fact{t, "method of moments", x.MethodOfMoments}, fact{t, "ICC", x.ICC.Value},
			fact{t, "smallest detectable change", x.SmallestDetectable}, fact{t, "lower limit of agreement", x.LowerAgreement}, fact{t, "upper limit of agreement", x.UpperAgreement})
	}
	return out
}
