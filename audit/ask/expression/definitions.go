package expression

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
)

func definitions(s *results.Settings) []results.Definition {
	level := wording.Level(s.Level)
	return []results.Definition{
		{ID: "planned-achieved", Term: "planned, achieved", Formula: "signed amounts along one axis; achieved counts along the planned direction, so movement the wrong way is negative", Source: ""},
		{
			ID: "expression", Term: "expression (ratio of sums)", Formula: "total achieved / total planned over the movements of a cell; interval " + level +
				" with the case as the unit, CR2 variance, t on Satterthwaite degrees of freedom, or on fewer where a few cases lie far out (fourth moment of the cases)",
			Source: "Cochran 1977, Sampling Techniques, 3rd ed., ch. 6; Bell & McCaffrey 2002, Surv Methodol 28:169-181; O'Neill 2014, Am Stat 68:282-296",
		},
		{ID: "movement-expression", Term: "expression of one movement (F1)", Formula: "achieved / planned; its median and, of four movements or more, quartiles (type 7) are printed, its mean is not, because small plans make it explode", Source: "Simon et al. 2014, BMC Oral Health 14:68; Hyndman & Fan 1996, Am Stat 50:361-365"},
		{ID: "percentage-accuracy", Term: "percentage accuracy (F2)", Formula: "mean of 100 - 100 |planned - achieved| / |planned|; overshoot counts like shortfall, so it is not expression", Source: "Kravitz et al. 2009, Am J Orthod Dentofacial Orthop 135:27-35"},
		{ID: "mean-difference", Term: "mean difference (F3)", Formula: "mean of achieved - planned along the plan; negative is short; shortfall is its negative", Source: "Grünheid et al. 2017, Angle Orthod 87:809-815"},
		{ID: "slope", Term: "slope (F4)", Formula: "regression of achieved on planned through the origin: sum of planned x achieved / sum of planned squared", Source: "Smith et al. 2022, Prog Orthod 23:37 (regression of achieved on planned)"},
		{
			ID: "outside-tolerance", Term: "outside tolerance (F6)", Formula: fmt.Sprintf("share of movements planned beyond %[1]g mm or %[2]g degrees with |achieved - planned| above that, both in hundredths; plans no larger are counted beside it, with those that ended outside all the same; Wilson limits on the effective number of movements, case as the unit", s.ToleranceMM, s.ToleranceDeg),
			Source: "Grünheid et al. 2017, Angle Orthod 87:809-815 (0.5 mm, 2 degrees); Rao & Scott 1992, Biometrics 48:577-585",
		},
		{ID: "average-patient", Term: "average patient", Formula: "mean over the cases of each case's own ratio, every case with the same weight, t on cases - 1; said beside expression where the two differ by more than the error of their difference", Source: "Donner & Klar 2000, Design and Analysis of Cluster Randomization Trials in Health Research"},
		{ID: "mean-absolute-error", Term: "mean absolute error (F7)", Formula: "mean of |achieved - planned| in the unit of the axis", Source: "common practice, no source"},
		{ID: "smallest-plan", Term: "smallest plan", Formula: fmt.Sprintf("plans below %g mm or %g degrees stay out of every ratio, are counted, and are shown as unplanned movement", s.SmallestMM, s.SmallestDeg), Source: "convention of this audit"},
		{ID: "cells-listed", Term: "cells listed", Formula: fmt.Sprintf("every axis, direction, style and course by tooth class and arch with the margins over them, and every single tooth over all styles; a single tooth under one style only from %d cases on", s.MinIntervalCases), Source: "convention of this audit"},
		{ID: "design-effect", Term: "design effect", Formula: "clustered variance of the ratio / variance with every movement taken as independent, at least 1", Source: "Kish 1965, Survey Sampling, section 8.2"},
		{
			ID: "pooled-expression", Term: "pooled expression of a tooth", Formula: "tooth means of expression drawn together by a random-intercept model (REML) with the tooth as the group: the fewer the movements, the nearer the average of all teeth",
			Source: "Laird & Ware 1982, Biometrics 38:963-974; Robinson 1991, Stat Sci 6:15-32",
		},
	}
}
